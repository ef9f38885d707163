// Where the journal of a site stands.
#pragma once

#include <string>

#include "rules/engine/plan.h"

namespace overwinter {

// given: --journal, else empty. state_directory: $STATE_DIRECTORY, else empty.
std::string journal_place(const std::string& given, const Plan& plan, const std::string& state_directory);

}  // namespace overwinter
