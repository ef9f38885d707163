// What a condition rests on: the measured quantities behind its names, and whether it can ever be true.
#pragma once

#include <compare>
#include <cstdint>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "rules/engine/plan.h"

namespace overwinter {

// Fills AlarmSpec's sampled_slots, held_over, counts_at_once and measured_slots from its raise condition.
void fill_slots(const Plan& plan, AlarmSpec& alarm);

// Fills HistoryCall::stale_after: the longest of those of its slots that go stale; never where none does.
void fill_stale_after(const Plan& plan, Program& program);

// What nothing brings: a measured quantity has a source when the site binds it or says by_hand, or when its model takes
// the place's instead; a parameter, when the site file gives it or it has a default.
struct Need {
  std::vector<std::uint32_t> any_of;  // slots; any one of them would do
  bool itself = false;                // the one that stands here would have to tell what it ought to be itself

  auto operator<=>(const Need&) const = default;
};

// What is missing for the condition ever to be true; empty: it can be. What an act may yet tell is missing too.
std::set<Need> never_true_because(const Plan& plan, const Program& program);

// What a parameter that the site file gives needs to say anything; nothing: it is there.
std::optional<Need> says_nothing_without(const Plan& plan, std::uint32_t parameter);

}  // namespace overwinter
