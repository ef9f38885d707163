// What `validate` warns of for want of a source or a key: rules that can never be true, keys without effect.
#pragma once

#include "config/definitions.h"
#include "config/sections.h"

namespace overwinter {

// After rules are read.
void advise_about_lacks(const Definitions& definitions, Draft& draft);

}  // namespace overwinter
