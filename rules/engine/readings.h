// A reading's way into the world: duplicates, back-dated ones, retained ones, silence ended, the current source of a
// quantity, and the judgment of measured against expected at the reading's own instant.
#pragma once

#include "rules/engine/world.h"

namespace overwinter {

void accept_message(World& world, const SensorMessage& message);
void accept_hand_reading(World& world, std::uint32_t slot, double value, Instant at);

// The sensor's timer: stale, silent, a held jump over.
void on_sensor_timer(World& world, std::uint32_t sensor);
void arm_sensor(World& world, std::uint32_t sensor);

// A hand reading whose thermometer had not spoken yet is judged when that has: people read one gauge after the other.
void judge_anew(World& world);
// Computes expected at the reading's own instant for every slot judged in this pass.
void judge_readings(World& world);
// What the present readings of an entity ought to be, by quantity, as its model says now.
std::vector<Expectation> expectations(const World& world, std::uint32_t entity);
// After an act: anew where they are others than before it. What was read before a fill says nothing of the filled tire.
void expect_anew(World& world, std::uint32_t entity, const std::vector<Expectation>& before);
// After a reload, before anything is updated: what a person read is compared where it was not yet, and anew where the
// site file tells of other work now. A sensor soon speaks again.
void expect_hand_readings_anew(World& world);

// Reasons that the board shows.
inline constexpr const char* reason_silent = "no reading for longer than its stale_after";
inline constexpr const char* reason_retained = "a retained message tells no time";
inline constexpr const char* reason_stuck = "the sensor repeats one value while its reference moved";
inline constexpr const char* reason_shared_jump = "shared jump: several jumped together";
inline constexpr const char* reason_held_jump = "jumped; waiting whether the others jump too";
inline constexpr const char* reason_sea_level = "looks reduced to sea level";

}  // namespace overwinter
