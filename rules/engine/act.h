// Work that changes what to expect, on the board: of an act that was told and the site file's own, the newer counts.
#pragma once

#include "rules/engine/world.h"

namespace overwinter {

// People tell times to the minute. What is told of one piece of gear within the same second happened in the order in
// which it was told: work lies a millisecond after the readings told before it, and a reading told after the work is
// one of its result. So both may lie some milliseconds after `told`, also ahead of the engine's time.
Instant instant_of_act(const World& world, std::uint32_t entity, Instant told);
Instant instant_of_reading(const World& world, std::uint32_t entity, Instant told);

// Sets the parameters that `act` tells, and blanks those that were of the work before it (the weather at the last
// fill). False, and nothing is set: the site file tells of newer work.
bool apply_act(World& world, std::uint32_t entity, const ActSpec& spec, const RecordedAct& act);

}  // namespace overwinter
