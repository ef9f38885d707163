// Silent sensors and the gateways that explain them. Silence is counted from the latest of: the last reading, the start
// of the program, the reload that brought the sensor, the moment the broker link came up; while the link is down no
// sensor falls silent.
#pragma once

#include <string>

#include "rules/engine/world.h"

namespace overwinter {

// When the sensor falls silent if nothing comes; never: booleans and words, what is not missed, sensors already silent,
// link down.
Instant silence_deadline(const World& world, std::uint32_t sensor);
// When to ask again whether its gateway explains the silence of a sensor; never: the time alone changes nothing.
Instant excuse_deadline(const World& world, std::uint32_t sensor);
void fall_silent(World& world, std::uint32_t sensor);
void end_silence(World& world, std::uint32_t sensor);

// Marks an entity for settle_silence: a time of one of its sensors came.
void watch_silence(World& world, std::uint32_t entity);
// Whether a gateway explains the silence of its sensors is to be asked again: it went out of service, or its rule out
// of season, or came back.
void explain_silence_anew(World& world, std::uint32_t gateway);
// Sets sensor_is_silent of the entities concerned, gateway_is_silent and silent_sensors, from the series' states.
void settle_silence(World& world);
// Marks gateways for settle_silence: the own `online` changed, or a sensor spoke through one that is silent.
void watch_gateways(World& world);

// The silent quantities of an entity in words:
// "humidity (last heard Dec 3), temperature (never heard; is the topic right?)".
std::string describe_silence(const World& world, std::uint32_t entity);
std::string describe_gateway(const World& world, std::uint32_t entity);

}  // namespace overwinter
