// What an alarm rests on: how old it is, who says so, and whether it still holds.
#pragma once

#include <optional>
#include <string>

#include "rules/engine/world.h"

namespace overwinter {

// Since when nobody knows whether an active alarm is over; nothing: its evidence is fresh.
std::optional<Instant> stale_since(const World& world, std::uint32_t alarm);

// " (sensor, 20 min ago)", " (by hand, Sat Dec 19)": of the newest measured input, of its own gear if
// there is one; empty if it has none.
std::string source_of(const World& world, std::uint32_t alarm);

}  // namespace overwinter
