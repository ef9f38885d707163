// One deadline for each of a fixed number of things, and the earliest of them. Arming again is cheap: a thing has at
// most one entry in the heap that is not later than its deadline; entries that came too early are put back.
#pragma once

#include <cstdint>
#include <functional>
#include <queue>
#include <utility>
#include <vector>

#include "rules/quantity/time.h"

namespace overwinter {

class Timers {
 public:
  explicit Timers(std::size_t count = 0) : armed_(count, never), queued_(count, never) {}

  void arm(std::uint32_t id, Instant at) {
    armed_[id] = at;
    if (at < queued_[id]) {
      queued_[id] = at;
      heap_.emplace(at, id);
    }
  }

  Instant next() {
    drop_outdated();
    return heap_.empty() ? never : heap_.top().first;
  }

  template <class A>
  void archive(A& a) {
    const std::size_t count = armed_.size();
    a(armed_);
    if constexpr (A::reading) {
      if (armed_.size() != count) return a.fail();
      const std::vector<Instant> deadlines = std::exchange(armed_, std::vector<Instant>(count, never));
      for (std::uint32_t id = 0; id < count; ++id) arm(id, deadlines[id]);
    }
  }

  // Removes and returns every id whose deadline is at or before t, in order of id.
  const std::vector<std::uint32_t>& take_due(Instant t);

 private:
  using Entry = std::pair<Instant, std::uint32_t>;

  void drop_outdated() {
    while (!heap_.empty()) {
      const auto [at, id] = heap_.top();
      if (at == armed_[id] && at == queued_[id]) return;
      heap_.pop();
      if (queued_[id] != at) continue;  // a later entry than the one that counts
      queued_[id] = never;
      if (armed_[id] != never) arm(id, armed_[id]);
    }
  }

  std::vector<Instant> armed_;
  std::vector<Instant> queued_;
  std::priority_queue<Entry, std::vector<Entry>, std::greater<>> heap_;
  std::vector<std::uint32_t> due_;
};

}  // namespace overwinter
