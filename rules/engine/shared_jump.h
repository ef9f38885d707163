// Shared lies: values that arrive within 15 min from two or more pieces of gear of one kind in one place and all jump
// beyond tolerance are uncertain. They stay so until readings return within tolerance of the last good one, or a hand
// reading or an act confirms them. A single piece of gear alone is never excused so: a flat tire reads zero, and one
// that goes on alone from where a shared jump left it counts again.
#pragma once

#include <string>

#include "rules/engine/world.h"

namespace overwinter {

// After the readings of a step got their expected values: does one jump, alone or with the others? In two strokes, for
// one message may feed several of them.
void judge_jumps(World& world);
// 15 min are over and no other jumped along: the reading counts.
void release_held_jump(World& world, std::uint32_t sensor);
// Since when the slot's reading waited to be told alone from shared, when it counts now: a condition that rests on it
// has been true that long. Instant{}: it did not wait.
Instant held_since(const World& world, std::uint32_t slot);
// After a restore, also with another plan: who jumped with others that are gone is judged alone.
void take_up_jumps(World& world);
// The sensor fell silent: there is nothing more to wait for. What it read well last, and that it jumped with others,
// stays: a radio is often set anew while it is away.
void drop_held_jump(World& world, std::uint32_t sensor);
// An act on this gear: what is there now is what is.
void confirm_by_act(World& world, std::uint32_t entity);
// A hand reading of what jumped: one that agrees confirms the jump, of all that took part in it. One that does not says
// that they lie, and they stay uncertain.
void confirm_by_hand(World& world, std::uint32_t slot, double value);
// Sets readings_jumped of a gateway or a place from the state of the series.
void settle_jumped(World& world, std::uint32_t entity);
std::string describe_jump(const World& world, std::uint32_t entity);

}  // namespace overwinter
