// The trend of a tire's normalized pressure, and whether it says that the tire leaks.
#include <algorithm>
#include <cmath>
#include <vector>

#include "rules/gear/tire_model.h"
#include "rules/physics/in_quadrature.h"
#include "rules/physics/robust_trend.h"
#include "rules/physics/tire_pressure.h"

namespace overwinter {
namespace {

constexpr double week = 7 * 86400.0;     // s
constexpr std::size_t fewest_daily = 9;  // below, a slope says nothing
constexpr std::size_t fewest_by_hand = 3;
constexpr double shortest_by_hand = 14;  // days

}  // namespace

// The weather's share lasts for days: what a barometer that nobody reads and a thermometer that follows badly get
// wrong.
TrendErrors TireModel::trend_errors(const Surroundings& around) const {
  if (!last_) return {pascals_per_psi, 0};
  const auto air = tire_air(around, last_->at);
  const Sample ambient = tire_ambient(around, last_->by_hand, last_->at);
  const double inside = absolute(GaugePressure(last_->pressure), AbsolutePressure(ambient.value)).value;
  const double per_kelvin = inside / (air ? Temperature(air->celsius) : normal_temperature).kelvin();
  const double of_temperature = per_kelvin * (air && air->own ? 1 : 2) / 2;  // half of it stays the same
  const double of_rounding = line_by_hand_ ? 0 : resolution() / std::sqrt(12.0);
  return {in_quadrature(0.2 * pascals_per_psi, of_rounding), in_quadrature(of_temperature, ambient.plus_minus / 4)};
}

bool TireModel::has_hand_trend() const {
  return hand_.size() >= fewest_by_hand && to_days(hand_.back().at) - to_days(hand_.front().at) >= shortest_by_hand;
}

// Since they began to fall, where that is long enough to say that it leaks; else all. None where one step is most of
// the change: a tire that was full, and then was found flat, lost at a rate that nobody measured.
std::vector<TrendPoint> TireModel::steady_points_by_hand(const Surroundings& around) const {
  if (!has_hand_trend()) return {};
  std::vector<HandReading> readings;
  if (hand_.back().residual) readings = falling_by_hand(around, hand_.back());
  if (readings.size() < fewest_by_hand || readings.back().day - readings.front().day < shortest_by_hand) {
    readings.clear();
    for (const Judged& reading : hand_) {
      readings.push_back({to_days(reading.at), PressureDifference(reading.normalized.value_or(0)), {}, 1});
    }
  }
  if (!changed_steadily(readings)) return {};
  std::vector<TrendPoint> points;
  for (const Judged& reading : hand_) {
    if (to_days(reading.at) < readings.front().day) continue;
    points.push_back({reading.at, reading.normalized.value_or(0)});
  }
  return points;
}

void TireModel::compute_trend(const Surroundings& around) {
  forget_line();
  if (!last_) return;
  line_by_hand_ = last_->by_hand;
  std::vector<TrendPoint> points;
  if (line_by_hand_) {
    points = steady_points_by_hand(around);
    if (points.empty()) return;
  } else {
    points = after_last_gap(daily_.values(around.now(), around.now() - trend_window, around.zone()));
    if (points.size() < fewest_daily) return;
  }
  const TrendErrors errors = trend_errors(around);
  line_ = trend_line(points, errors);
  if (!line_ || line_by_hand_) return;
  leaks_ = leaks_by_trend(loss_since_first_week(around));
  if (leaks_) find_young_leak(points, errors);
}

// Against the sensor's own first days since the last act, of the last quarter of a year: what its gauge and the fill's
// have wrong falls out. What a gauge that drifts as it cools, a thermometer of a wrong gain and vapor that condenses
// can make of the change of temperature since is taken off: together 0.02 psi/K (estimate).
double TireModel::loss_since_first_week(const Surroundings& around) {
  constexpr double by_temperature = 0.02 * pascals_per_psi;  // per K
  const auto pressures = daily_.values(around.now(), Instant{}, around.zone());
  const auto degrees = daily_celsius_.values(around.now(), Instant{}, around.zone());
  const std::size_t week_of_values = std::min({std::size_t{7}, pressures.size(), degrees.size()});
  std::vector<double> first, then, lately;
  for (std::size_t i = 0; i < week_of_values; ++i) {
    first.push_back(pressures[i].value);
    then.push_back(degrees[i].value);
    lately.push_back(degrees[degrees.size() - 1 - i].value);
  }
  const double change = std::abs(median(then).value_or(0) - median(lately).value_or(0));
  const double seeped = seepage_between(pressures[week_of_values / 2].at, line_->last);
  return median(first).value_or(0) - line_->value_at_end - seeped - by_temperature * change;
}

// Fronts and thermometers that follow badly are not independent from day to day, and over a month they can look like
// a slope; a false alarm costs more than some days. So a slope is believed once its level agrees: the tire has lost
// 1.5 psi since the sensor's first week, or 1 psi where the slope has cost 1.75 psi. A leak that was found stands until
// the trend shows no loss beyond seepage any more.
bool TireModel::leaks_by_trend(double loss_since_first_week) const {
  constexpr double by_slope = 1.75 * pascals_per_psi, by_level = 1.5 * pascals_per_psi, beside_slope = pascals_per_psi;
  const double leak = leak_per_second(*line_);
  if (leaks_) return leak > 0;
  const bool ripe = leak * to_seconds(line_->last - line_->first) >= by_slope;
  const bool level_agrees = loss_since_first_week >= (ripe ? beside_slope : by_level);
  const double seepage = std::max(0.0, seepage_per_second(line_));
  return level_agrees && tire_leaks(trend(), PressureDifference(seepage * week));
}

// A line through four weeks tells too little of a leak of some days. The stretch since it began is told where it stands
// out and its loss is known to a half; else what it would tell makes the rate uncertain.
void TireModel::find_young_leak(const std::vector<TrendPoint>& points, const TrendErrors& errors) {
  constexpr std::size_t fewest_since = 5;
  const auto since = line_since_change(points, errors, fewest_since);
  if (!since) return;
  const double leak = leak_per_second(since->line);
  const double more = leak - leak_per_second(*line_);
  if (more <= 0) return;
  if (since->clear && 2 * since->line.standard_error <= leak / 2) {
    young_ = since->line;
  } else {
    perhaps_more_ = more;
  }
}

TireTrend TireModel::trend() const {
  return {PressureDifference(line_->slope * week), PressureDifference(line_->standard_error * week), line_->count};
}

double TireModel::seepage_between(Instant from, Instant to) const {
  const double pressure = std::max(0.0, last_ ? last_->pressure : fill_.pressure);
  if (!seeped_.started()) return pressure * seepage_rate_ * to_seconds(to - from);
  return pressure * (seeped_.at(to) - seeped_.at(from));
}

double TireModel::seepage_per_second(const std::optional<TrendLine>& line) const {
  if (line && line->last > line->first) {
    return seepage_between(line->first, line->last) / to_seconds(line->last - line->first);
  }
  return std::max(0.0, last_ ? last_->pressure : fill_.pressure) * seepage_rate_;
}

double TireModel::leak_per_second(const TrendLine& line) const { return -line.slope - seepage_per_second(line); }

void TireModel::keep_for_trend(const Surroundings& around, const Judged& reading) {
  const TrendTime when = trend_time(reading.at, around.zone());
  daily_.add(when, *reading.normalized);
  daily_celsius_.add(when, *reading.celsius);
}

void TireModel::forget_line() {
  line_.reset();
  young_.reset();
  perhaps_more_ = 0;
}

// What was lost since then stands, and what it fell from, for its next reading to confirm it: work from before it, told
// later, mended nothing of it, nor did a rise.
void TireModel::restart_trends(Instant from) {
  for (auto* readings : {&hand_, &waiting_}) {
    std::erase_if(*readings, [from](const Judged& reading) { return reading.at < from; });
  }
  restart_trends_of_sensor(from);
  if (drops_ == 0 || fell_at_ <= from) forget_drops();
  leaks_ = false;
}

// Work that is told by its date alone counts from the start of that day (after a reading or act of the same instant, if
// one is told), and may be of any time of it.
void TireModel::restart_trends_by_work(const Surroundings& around, Instant at) {
  restart_trends(at);
  const Instant day_of_loss = from_local(to_local(fell_at_, around.zone()).date, Span{}, around.zone());
  if (at >= day_of_loss && at < day_of_loss + std::chrono::seconds(1)) forget_drops();
}

void TireModel::restart_trends_of_sensor(Instant from) {
  daily_.restart(from);
  daily_celsius_.restart(from);
  rises_ = 0;
  forget_line();
}

void TireModel::forget_drops() {
  jump_ = 0;
  drops_ = 0;
  before_.clear();
}

}  // namespace overwinter
