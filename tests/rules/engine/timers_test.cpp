// Deadlines armed, armed anew and taken in any order, beside a plain list of them.
#include "rules/engine/timers.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cstdint>
#include <vector>

namespace overwinter {
namespace {

std::vector<std::uint32_t> due_at(std::vector<Instant>& deadlines, Instant t) {
  std::vector<std::uint32_t> due;
  for (std::uint32_t id = 0; id < deadlines.size(); ++id) {
    if (deadlines[id] > t) continue;
    due.push_back(id);
    deadlines[id] = never;
  }
  return due;
}

RC_GTEST_PROP(Timers, TellAndTakeWhatAPlainListOfDeadlinesWould, ()) {
  constexpr std::uint32_t count = 7;
  Timers timers(count);
  std::vector<Instant> deadlines(count, never);
  Instant now{};
  const int acts = *rc::gen::inRange(0, 60);
  for (int i = 0; i < acts; ++i) {
    const Instant then = now + Span(*rc::gen::inRange(0, 20));
    if (*rc::gen::inRange(0, 3) > 0) {
      const auto id = *rc::gen::inRange<std::uint32_t>(0, count);
      const Instant at = *rc::gen::inRange(0, 5) == 0 ? never : then;
      timers.arm(id, at);
      deadlines[id] = at;
    } else {
      now = then;
      const Instant first = *std::ranges::min_element(deadlines);
      if (first <= now) RC_ASSERT(timers.next_within(now) == first);
      if (first > now) RC_ASSERT(timers.next_within(now) > now);
      RC_ASSERT(timers.next() == first);
      RC_ASSERT(timers.take_due(now) == due_at(deadlines, now));
    }
  }
  RC_ASSERT(timers.next() == *std::ranges::min_element(deadlines));
}

}  // namespace
}  // namespace overwinter
