#include "rules/engine/timers.h"

#include <algorithm>

namespace overwinter {

const std::vector<std::uint32_t>& Timers::take_due(Instant t) {
  due_.clear();
  while (next() <= t) {
    const std::uint32_t id = heap_.top().second;
    heap_.pop();
    queued_[id] = never;
    armed_[id] = never;
    due_.push_back(id);
  }
  std::sort(due_.begin(), due_.end());
  return due_;
}

}  // namespace overwinter
