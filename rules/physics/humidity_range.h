// What relative humidity may be.
#pragma once

#include "rules/quantity/strong.h"

namespace overwinter {

inline bool humidity_in_range(Share rh) { return rh.value >= 0 && rh.value <= 1; }
inline constexpr const char* humidity_outside = "the relative humidity is outside 0..100 %";

}  // namespace overwinter
