// Never an alarm on one packet: of which sampled numbers a condition rests on a single reading, so that its alarm waits
// for one more.
#pragma once

#include <cstdint>

#include "rules/engine/world.h"

namespace overwinter {

// While the condition of an alarm is true. `begins`, the start of its delay: the sampled inputs of which it rests on a
// single reading; they got it in this step, or just before another input made the condition true. Then each reading of
// one ends the wait for it.
void follow_waits(World& world, std::uint32_t alarm, Delay& delay, bool begins);

// It does not hold without the readings that wait for one more. What made it true beside them may have left since.
bool rests_on_awaited(const World& world, std::uint32_t alarm, const Delay& delay);

// The end of an alarm forgets how many readings its condition rests on: one more of each.
void wait_for_each(const World& world, std::uint32_t alarm, Delay& delay);

}  // namespace overwinter
