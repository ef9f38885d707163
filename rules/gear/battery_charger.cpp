#include "rules/gear/battery_charger.h"

#include <algorithm>

namespace overwinter {
namespace {

constexpr double charging_voltage = 13.2;  // 2.20 V a cell
constexpr Span slope_window = 4 * one_hour;
constexpr Span half_a_day = 12 * one_hour;
constexpr Span two_days = 2 * one_day;  // as far back as the medians go
constexpr Span full_after = 12 * one_hour;

bool is_idle(ChargerVerdict verdict) {
  return verdict == ChargerVerdict::waiting || verdict == ChargerVerdict::not_rising ||
         verdict == ChargerVerdict::failed;
}

// Not a slope: that of a few hours comes and goes with the noise.
bool surely_charges(const ChargerWatch& watch) {
  return watch.takes_current || watch.daily_median_rose.value_or(false) ||
         (watch.voltage && *watch.voltage >= Voltage(charging_voltage));
}

}  // namespace

void ChargerTrack::power(bool on, Instant at) {
  if (power_ == on) return;
  if (power_.value_or(false)) power_ended_ = at;
  power_ = on;
  power_since_ = at;
  idle_since_.reset();
  rose_.reset();
}

void ChargerTrack::rested(double voltage) {
  const bool on = power_on();
  if (on && rested_) return;
  rested_ = voltage;
  rested_under_power_ = on;
}

// Without power nothing is asked of the charger, and slopes are expensive.
void ChargerTrack::ask_hours(const VoltageHours& hours, Instant now, ChargerWatch& watch) {
  const auto slope_over = [&](Span window) {
    const auto slope = hours.slope(std::max(now - window, power_since_));
    return slope ? std::optional(Voltage(*slope * 3600)) : std::nullopt;
  };
  watch.rise_per_hour = slope_over(slope_window);
  watch.rise_of_noise = Voltage(hours.slope_noise(std::max(now - slope_window, power_since_)) * 3600);
  if (now - power_since_ > half_a_day) watch.rise_in_12_h = slope_over(half_a_day);
  if (!watch.rise_per_hour && now - power_since_ > half_a_day) watch.rise_of_days = slope_over(two_days);
  const Instant rise_begins = now - slope_window;
  if (const auto highest = hours.highest(std::max(rise_begins - one_day, power_since_), rise_begins)) {
    watch.highest_before = Voltage(*highest + hours.step());
  }
  if (const auto median = hours.daily_median()) watch.daily_median = Voltage(*median);
  watch.daily_median_rose = hours.daily_median_rose();
  // A rise stands for a day: a difference that has just passed the noise comes and goes.
  if (watch.daily_median_rose.value_or(false)) rose_ = now;
  if (rose_ && now - *rose_ < one_day) watch.daily_median_rose = true;
}

// A charger that failed has failed until something charges or its power goes; a gap in what is known of either ends
// nothing.
void ChargerTrack::keep_failure(const ChargerWatch& watch) {
  if (verdict_ == ChargerVerdict::failed) failed_ = true;
  if (surely_charges(watch) || verdict_ == ChargerVerdict::no_power) failed_ = false;
  if (failed_ && power_on() && watch.voltage) verdict_ = ChargerVerdict::failed;
}

void ChargerTrack::see(const ChargerSight& sight, const VoltageHours& hours) {
  ChargerWatch watch;
  watch.shore_power = power_;
  watch.shore_power_for = Seconds(to_seconds(sight.now - power_since_));
  if (sight.voltage) watch.voltage = Voltage(*sight.voltage);
  if (power_on() && sight.voltage) ask_hours(hours, sight.now, watch);
  if (rested_) watch.last_rested = Voltage(*rested_);
  if (sight.celsius) watch.temperature = Temperature(*sight.celsius);
  watch.sleeps_until = Voltage(sight.sleeps_until);
  const bool by_current = sight.current && *sight.current > sight.resting_current;
  watch.takes_current = by_current;
  if (idle_since_) watch.idle_for = Seconds(to_seconds(sight.now - *idle_since_));
  verdict_ = charger_verdict(watch);
  keep_failure(watch);
  if (!is_idle(verdict_)) {
    if (verdict_ != ChargerVerdict::unknown) idle_since_.reset();  // a gap in the readings is no break
  } else if (!idle_since_) {
    idle_since_ = sight.now;
  }

  const double least = charging_ && power_on() ? still_charging_voltage : charging_voltage;
  const bool by_voltage = sight.voltage && *sight.voltage >= least;
  const bool charging = by_voltage || by_current || verdict_ == ChargerVerdict::charging;
  if (charging && !charging_) charging_since_ = sight.now;
  if (charging) {
    charging_until_ = sight.now;
    if (by_voltage && sight.now - charging_since_ >= full_after) full_at_ = sight.now;
  }
  charging_ = charging;
}

bool ChargerTrack::charged_within(Span span, Instant at) const {
  return charging_until_ && at >= charging_since_ && (charging_ || at - *charging_until_ < span);
}

bool ChargerTrack::charged_long_since(Instant at) const {
  return charging_until_ && charging_since_ > at && *charging_until_ - charging_since_ >= full_after;
}

bool ChargerTrack::powered_within(Span span, Instant at) const {
  if (power_on() && at >= power_since_) return true;
  return power_ended_ && at >= *power_ended_ && at - *power_ended_ < span;
}

}  // namespace overwinter
