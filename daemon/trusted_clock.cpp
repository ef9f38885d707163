#include "daemon/trusted_clock.h"

#include <algorithm>

#include "rules/limits.h"

namespace overwinter {
namespace {

// No clock that is right shows less: the program is younger than this.
constexpr Instant program_written{std::chrono::sys_days(std::chrono::year(2026) / 10 / 1)};

bool believable(Instant wall, std::optional<Instant> newest) {
  if (wall < program_written) return false;
  return !newest || (wall >= *newest && wall - *newest <= limits::longest_downtime);
}

}  // namespace

TrustedClock::TrustedClock(const ClockReading& first, std::optional<Instant> newest)
    : last_(newest.value_or(std::max(first.wall, program_written))), before_(first) {
  trusted_ = (first.synchronized && first.wall >= program_written) || believable(first.wall, newest);
  if (trusted_) last_ = std::max(last_, first.wall);
}

TrustedClock::Now TrustedClock::read(const ClockReading& reading) {
  const Span elapsed = std::max(reading.steady - before_.steady, Span{});
  const Span step = (reading.wall - before_.wall) - elapsed;
  before_ = reading;
  if (reading.synchronized) {
    trusted_ = reading.wall >= program_written;
  } else if (std::chrono::abs(step) > limits::clock_step) {
    trusted_ = false;
  }
  Now now;
  now.trusted = trusted_;
  now.at = last_ + elapsed;
  if (trusted_ && now.at - reading.wall > limits::clock_set_back) {
    now.at = reading.wall;
    now.set_back = true;
  } else if (trusted_) {
    now.at = std::max(reading.wall, last_ + elapsed / 2);
  }
  now.stepped = (now.at - last_) - elapsed;
  last_ = now.at;
  return now;
}

}  // namespace overwinter
