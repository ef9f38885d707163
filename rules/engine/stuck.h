// Stuck sensors: a number that repeats exactly for 24 h (at least 24 readings) while its reference moved by more than
// max(1 K, 5 steps of its own), humidity 3 %. The reference of the outdoors' own thermometer is most of the others that
// stand in the weather, two at least, growing colder. A probe resting at 0 degC is not stuck: that is ice melting.
#pragma once

#include "rules/engine/world.h"

namespace overwinter {

// Called for each reading in order, before it becomes the last one of the series.
void follow_repeats(World& world, std::uint32_t sensor, Instant at, double value);
// Sets sensor_is_stuck of the entity from the state of its series.
void settle_stuck(World& world, std::uint32_t entity);
std::string describe_stuck(const World& world, std::uint32_t entity);

}  // namespace overwinter
