#include "rules/gear/battery_count.h"

#include <algorithm>
#include <cmath>

#include "rules/physics/in_quadrature.h"

namespace overwinter {
namespace {

constexpr Span longest_unwatched = one_day;             // before the first reading counts
constexpr Span judged_just_now = 2 * one_hour;          // a rested voltage is that of the hour before
constexpr double longest_sure = 3600;                   // s, that one reading stands for what flows
constexpr double least_rate_of_gap = 1.0 / 100 / 3600;  // of the capacity, 1/s: what a resting battery may carry

// What may have been counted wrong, C, k = 2.
double wrong(const Counted& counted) {
  return counted_share_unsure * (counted.out + counted.in) + counted.sensor_error + counted.unsure;
}

}  // namespace

void ChargeCount::restart(const ChargeStart& start, double amperes, double sensor_error, Instant now) {
  started_ = now - start.at <= longest_unwatched;
  start_ = start;
  counted_ = {};
  last_ = start.at;
  amperes_ = amperes;
  sensor_error_ = sensor_error;
  sighted_ = now - start.at <= judged_just_now;
}

void ChargeCount::read(const Battery& battery, Instant at, double amperes, double sensor_error, double self_discharge) {
  if (at < last_) return;
  const double lost = charge(battery, last_) * self_discharge * to_seconds(at - last_);
  counted_ = counted(battery, at);
  counted_.lost += lost;
  last_ = at;
  amperes_ = amperes;
  sensor_error_ = sensor_error;
  sighted_ = true;
  begin_at_end(battery);
}

// A battery takes no more than all, and gives no more: what is beyond that was counted wrong, and is not kept.
void ChargeCount::begin_at_end(const Battery& battery) {
  const double charge = charge_after(battery, counted_);
  if (charge >= 0 && charge <= 1) return;
  const double end = charge > 1 ? 1 : 0;
  Counted none;
  none.unsure = wrong(counted_);
  start_ = {last_, end, voltage_at(battery, end), start_.plus_minus, ChargeStart::By::end};
  counted_ = none;
}

double ChargeCount::voltage_at(const Battery& battery, double charge) const {
  const auto there = battery.rested_voltage(charge);
  const auto here = battery.rested_voltage(start_.charge);
  return there && here ? start_.voltage + *there - *here : start_.voltage;
}

double ChargeCount::mean_draw(const Battery& battery) const {
  const double net = counted_.out - charging_efficiency(battery.chemistry) * counted_.in;
  return std::max(0.0, net / std::max(counted_.watched, to_seconds(one_day)));
}

Counted ChargeCount::counted(const Battery& battery, Instant now) const {
  Counted all = counted_;
  if (now <= last_) return all;
  const double seconds = to_seconds(now - last_);
  if (sighted_) {
    (amperes_ < 0 ? all.out : all.in) += std::abs(amperes_) * seconds;
    all.sensor_error += sensor_error_ * seconds;
    all.unsure += std::abs(amperes_) * std::max(0.0, seconds - longest_sure);
    all.watched += seconds;
    return all;
  }
  const double drawn = mean_draw(battery);
  all.missed += drawn * seconds;
  all.unsure += std::max(drawn, least_rate_of_gap * *battery.capacity) * seconds;
  all.unseen += seconds;
  return all;
}

double ChargeCount::charge_after(const Battery& battery, const Counted& counted) const {
  const double kept = charging_efficiency(battery.chemistry) * counted.in;
  return start_.charge - (counted.out + counted.missed - kept) / *battery.capacity - counted.lost;
}

double ChargeCount::charge(const Battery& battery, Instant now) const {
  return std::clamp(charge_after(battery, counted(battery, now)), 0.0, 1.0);
}

double ChargeCount::unsure(const Battery& battery, Instant now) const {
  return wrong(counted(battery, now)) / *battery.capacity;
}

double ChargeCount::plus_minus(const Battery& battery, Instant now) const {
  return in_quadrature(start_.plus_minus, unsure(battery, now));
}

bool ChargeCount::says_something(const Battery& battery, Instant now) const { return unsure(battery, now) < 1; }

}  // namespace overwinter
