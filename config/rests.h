// What a condition rests on: the measured quantities behind its names, and whether it can ever be true.
#pragma once

#include <cstdint>
#include <set>
#include <string>
#include <vector>

#include "rules/engine/plan.h"

namespace overwinter {

// The measured slots behind one slot: itself, or what a computed quantity rests on. In plan order.
std::vector<std::uint32_t> measured_behind(const Plan& plan, std::uint32_t slot);

// Fills AlarmSpec's sampled_slots, held_over and measured_slots from its raise condition.
void fill_slots(const Plan& plan, AlarmSpec& alarm);

// Fills HistoryCall::stale_after: the longest of those of its slots that go stale; never where none does.
void fill_stale_after(const Plan& plan, Program& program);

// The slots without a source because of which the condition can never be true; empty: it can.
// A measured quantity has a source when the site binds it or says by_hand, or when its model takes the place's instead.
std::set<std::uint32_t> never_true_because(const Plan& plan, const Program& program);

}  // namespace overwinter
