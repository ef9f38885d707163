// What `validate` warns of: a file that is sound and still will not do what its owner expects.
#pragma once

#include "config/definitions.h"
#include "config/sections.h"

namespace overwinter {

// After rules and reminders are read.
void advise(const YamlNode& root, const Definitions& definitions, Draft& draft);

}  // namespace overwinter
