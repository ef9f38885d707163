// When the current of a battery was last beyond what a resting one carries. Without a sensor of it nothing is known,
// and nothing is held against the battery.
#pragma once

#include <algorithm>
#include <optional>

#include "rules/gear/battery_hours.h"

namespace overwinter {

class LoadTrack {
 public:
  // Whether current beyond rest flows, in or out; not known counts as not. A load lasts until it is seen to be gone.
  void see(bool loaded, Instant now) {
    if (loaded && !loaded_ && !within(until_rest, now)) since_ = now;
    if (loaded || loaded_) until_ = std::max(until_, std::optional(now));
    loaded_ = loaded;
  }
  // Loaded at that instant, or at some time in the span before it; loads six hours apart or less count as one.
  bool within(Span span, Instant at) const { return until_ && at >= since_ && (loaded_ || at - *until_ < span); }
  // The end (so far) of the last load; the beginning of time: none was seen.
  Instant until() const { return until_.value_or(Instant{}); }

  template <class A>
  void archive(A& a) {
    a(loaded_, since_, until_);
  }

 private:
  bool loaded_ = false;
  Instant since_{};
  std::optional<Instant> until_;
};

}  // namespace overwinter
