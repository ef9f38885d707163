// Quantities that the engine itself sets for every place, gear and the site: silence, stuck sensors, shared lies.
// The standard rules name them; their slots follow the kind's own quantities.
#pragma once

#include <array>
#include <cstdint>

#include "rules/gear/kind.h"

namespace overwinter {

enum class Watch : std::uint8_t {
  sensor_is_silent,       // a bound sensor has been silent for its stale_after; not while its gateway explains it
  sensor_is_stuck,        // a number repeats exactly while its reference moved
  readings_jumped,        // on a gateway or a place: several pieces of gear jumped together
  gateway_is_silent,      // on a gateway: offline, or half or more of its sensors fell silent together
  journal_is_unwritable,  // on the site: told by the service
};
inline constexpr std::uint8_t watch_count = 5;

// Their specs, in the order of Watch; all computed booleans.
const std::array<QuantitySpec, watch_count>& watch_quantities();

}  // namespace overwinter
