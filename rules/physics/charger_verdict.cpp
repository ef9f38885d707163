#include "rules/physics/charger_verdict.h"

#include <algorithm>

namespace overwinter {
namespace {

constexpr Voltage millivolt{0.001};
constexpr double hour = 3600;

// The verdict on a battery that shore power should charge, and that shows no sign of it.
ChargerVerdict without_charge(Voltage voltage, const ChargerWatch& watch) {
  const bool seldom = !watch.rise_per_hour;
  const auto rise = seldom && watch.rise_of_days ? watch.rise_of_days
                    : watch.rise_in_12_h         ? watch.rise_in_12_h
                                                 : watch.rise_per_hour;
  const bool days_rose = watch.daily_median_rose.value_or(false);
  const bool rising = (rise && *rise >= 1 * millivolt) || days_rose;
  const Voltage highest = std::max(voltage, watch.daily_median.value_or(voltage));
  const Voltage surely_low = std::min(Voltage(12.5), watch.sleeps_until);
  if (highest < surely_low && watch.shore_power_for > Seconds(12 * hour) && !rising) return ChargerVerdict::failed;
  if (!watch.last_rested) return ChargerVerdict::unknown;
  const bool idle_a_day = watch.idle_for >= Seconds(24 * hour);
  const bool rose = seldom ? rising : days_rose;  // the medians of so few readings show no small rise
  if (idle_a_day && !rose && highest < watch.sleeps_until) return ChargerVerdict::failed;
  return voltage <= *watch.last_rested + 50 * millivolt ? ChargerVerdict::waiting : ChargerVerdict::not_rising;
}

}  // namespace

ChargerVerdict charger_verdict(const ChargerWatch& watch) {
  if (!watch.voltage) return ChargerVerdict::unknown;
  const Voltage voltage = *watch.voltage;
  if (voltage > Voltage(15.8)) return ChargerVerdict::overvoltage;
  if (voltage > Voltage(15.0)) {
    if (!watch.temperature) return ChargerVerdict::unknown;
    const double cold = std::max(0.0, 25 - watch.temperature->celsius());
    if (voltage > Voltage(15.0 + 0.03 * cold)) return ChargerVerdict::overvoltage;
  }
  if (!watch.shore_power) return ChargerVerdict::unknown;
  if (!*watch.shore_power) return ChargerVerdict::no_power;
  if (voltage >= Voltage(13.2) || watch.takes_current) return ChargerVerdict::charging;
  const bool regains = watch.highest_before && voltage <= *watch.highest_before;
  const Voltage telling_rise = std::max(10 * millivolt, watch.rise_of_noise);
  if (watch.rise_per_hour && *watch.rise_per_hour >= telling_rise && !regains) return ChargerVerdict::charging;
  if (watch.shore_power_for < Seconds(2 * hour)) return ChargerVerdict::too_early;
  if (!watch.rise_per_hour && !watch.daily_median_rose && !watch.rise_of_days) return ChargerVerdict::unknown;
  return without_charge(voltage, watch);
}

}  // namespace overwinter
