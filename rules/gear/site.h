// The kind `site`: the one installation as a whole. It has no sensors; what it knows is the air pressure.
#pragma once

#include <cstdint>

#include "rules/gear/kind.h"

namespace overwinter {

// In the order of site_kind().quantities.
enum class SiteQuantity : std::uint8_t { station_pressure };

}  // namespace overwinter
