// The files that `tls` names in the site file.
#pragma once

#include "rules/engine/plan.h"
#include "rules/result.h"

namespace overwinter {

// Faults: one of them does not exist, cannot be read or is empty; which one, and where. The library says of all that
// only that there is no connection.
Result<void> check_tls_files(const BrokerSpec& spec);

}  // namespace overwinter
