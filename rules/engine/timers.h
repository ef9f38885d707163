// One deadline for each of a fixed number of things, and the earliest of them: a heap in which each thing stands once,
// by an instant not later than its deadline. Most are armed anew before their time, and later: that moves nothing; one
// that proves too early sinks to its place when its time comes.
#pragma once

#include <cstdint>
#include <utility>
#include <vector>

#include "rules/quantity/time.h"

namespace overwinter {

class Timers {
 public:
  explicit Timers(std::size_t count = 0) : armed_(count, never), queued_(count, never), place_(count, 0) {}

  void arm(std::uint32_t id, Instant at) {
    armed_[id] = at;
    if (at < queued_[id]) hasten(id, at);
  }

  Instant next() { return next_within(never); }
  // The earliest deadline if it is not after `limit`; else an instant after `limit`.
  Instant next_within(Instant limit);

  // Removes and returns every id whose deadline is at or before t, in order of id.
  const std::vector<std::uint32_t>& take_due(Instant t);

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

 private:
  void hasten(std::uint32_t id, Instant at);
  void put(std::size_t place, std::uint32_t id) {
    heap_[place] = id;
    place_[id] = static_cast<std::uint32_t>(place);
  }
  void rise(std::uint32_t id);
  void sink_first();
  void drop_first();

  std::vector<Instant> armed_;
  std::vector<Instant> queued_;       // never: it stands not in the heap
  std::vector<std::uint32_t> place_;  // in the heap, of one that stands there
  std::vector<std::uint32_t> heap_;   // ids, the earliest of queued_ first
  std::vector<std::uint32_t> due_;
};

}  // namespace overwinter
