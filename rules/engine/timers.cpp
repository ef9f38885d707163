#include "rules/engine/timers.h"

#include <algorithm>

namespace overwinter {

Instant Timers::next_within(Instant limit) {
  while (!heap_.empty()) {
    const std::uint32_t first = heap_.front();
    if (queued_[first] > limit || queued_[first] == armed_[first]) return queued_[first];
    if (armed_[first] == never) {
      drop_first();
    } else {
      queued_[first] = armed_[first];
      sink_first();
    }
  }
  return never;
}

const std::vector<std::uint32_t>& Timers::take_due(Instant t) {
  due_.clear();
  while (!heap_.empty() && next_within(t) <= t) {
    const std::uint32_t id = heap_.front();
    armed_[id] = never;
    drop_first();
    due_.push_back(id);
  }
  std::sort(due_.begin(), due_.end());
  return due_;
}

void Timers::hasten(std::uint32_t id, Instant at) {
  if (queued_[id] == never) {
    place_[id] = static_cast<std::uint32_t>(heap_.size());
    heap_.push_back(id);
  }
  queued_[id] = at;
  rise(id);
}

void Timers::rise(std::uint32_t id) {
  std::size_t place = place_[id];
  while (place > 0) {
    const std::size_t above = (place - 1) / 2;
    if (queued_[heap_[above]] <= queued_[id]) break;
    put(place, heap_[above]);
    place = above;
  }
  put(place, id);
}

void Timers::sink_first() {
  const std::uint32_t id = heap_.front();
  std::size_t place = 0;
  for (std::size_t below = 1; below < heap_.size(); below = 2 * place + 1) {
    if (below + 1 < heap_.size() && queued_[heap_[below + 1]] < queued_[heap_[below]]) ++below;
    if (queued_[id] <= queued_[heap_[below]]) break;
    put(place, heap_[below]);
    place = below;
  }
  put(place, id);
}

void Timers::drop_first() {
  queued_[heap_.front()] = never;
  put(0, heap_.back());
  heap_.pop_back();
  if (!heap_.empty()) sink_first();
}

}  // namespace overwinter
