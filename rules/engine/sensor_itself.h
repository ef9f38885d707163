// What a sensor tells of itself beside its reading: its own cell and its radio signal. Shown, and told when the sensor
// falls silent; nothing is decided by it.
#pragma once

#include <string>

#include "rules/engine/world.h"

namespace overwinter {

// Also beside a value that is rejected. A retained message tells no time: it only fills what is empty.
void note_sensor_itself(World& world, const SensorValue& arrived, bool retained);

// "battery 2.91 V, link -71 dBm", in the units of the binding; empty when it never told. `slot` is a measured one.
std::string sensor_itself_in_words(const World& world, std::uint32_t slot);

// When it told last; Instant{}: never.
Instant sensor_itself_told(const World& world, std::uint32_t slot);

}  // namespace overwinter
