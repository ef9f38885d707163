#include "daemon/trusted_clock.h"

#include <algorithm>

#include "rules/limits.h"

namespace overwinter {
namespace {

// No clock that is right shows less: the program is younger than this.
constexpr Instant program_written{std::chrono::sys_days(std::chrono::year(2026) / 10 / 1)};

bool believable(Instant wall, std::optional<Instant> newest) {
  return wall >= program_written && (!newest || wall >= *newest);
}

}  // namespace

TrustedClock::TrustedClock(const ClockReading& first, std::optional<Instant> newest)
    : before_(first), trusted_(first.synchronized || believable(first.wall, newest)) {
  last_ = trusted_ ? first.wall : std::max(newest.value_or(first.wall), first.wall);
  if (!trusted_ && first.wall > last_) last_ = newest.value_or(first.wall);
}

TrustedClock::Now TrustedClock::read(const ClockReading& reading) {
  const Span elapsed = std::max(reading.steady - before_.steady, Span{});
  const Span moved = reading.wall - before_.wall;
  const Span step = moved - elapsed;
  before_ = reading;
  if (trusted_ && !reading.synchronized && std::chrono::abs(step) > limits::clock_step) trusted_ = false;
  if (!trusted_ && reading.synchronized) trusted_ = true;
  Now now;
  now.trusted = trusted_;
  now.at = trusted_ ? reading.wall : last_ + elapsed;
  now.stepped = (now.at - last_) - elapsed;
  last_ = now.at;
  return now;
}

}  // namespace overwinter
