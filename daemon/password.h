// The broker's password: from the file that the site names, else from the service manager's credential.
#pragma once

#include <string>

#include "rules/engine/plan.h"
#include "rules/result.h"

namespace overwinter {

// credentials: $CREDENTIALS_DIRECTORY, else empty. Empty answer: none is given, or an empty credential. The text never
// stands in a fault.
Result<std::string> read_password(const BrokerSpec& spec, const std::string& credentials);

}  // namespace overwinter
