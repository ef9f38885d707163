#include "rules/gear/tire_model.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "rules/physics/robust_trend.h"
#include "rules/physics/tire_pressure.h"
#include "rules/physics/tire_seepage.h"

namespace overwinter {
namespace {

constexpr double week = 7 * 86400.0;  // s
constexpr double normal_kelvin = 293.15;
constexpr std::size_t readings_before = 5;  // a jump is measured against their median
constexpr std::size_t fewest_before = 3;
constexpr std::size_t fewest_daily = 9;  // below, a slope says nothing
constexpr Span window = 28 * one_day;    // of the sensor's trend
constexpr Span shortest_by_hand = 14 * one_day;
constexpr double usual_celsius = 10;  // where no temperature is known yet

double rate_at(double celsius) {
  const auto rate = tire_seepage(Temperature(std::clamp(celsius, -40.0, 60.0)));
  return rate ? rate->value : 0;
}

}  // namespace

TireFill TireModel::current_fill(const Surroundings& around) const {
  if (!fill_.celsius || !told_fill(around).same_as(fill_)) return tire_fill(around);
  if (around.wants_every_question()) static_cast<void>(tire_fill(around));
  return fill_;
}

double TireModel::seeped_at(const Surroundings& around, const TireFill& fill, Instant instant) const {
  if (fill.same_as(fill_) && seeped_.started()) {
    const TrendPoint& last = seeped_.last();
    if (instant <= last.at) return std::max(0.0, seeped_.at(instant));
    return last.value + seepage_rate_ * to_seconds(instant - last.at);
  }
  if (instant <= fill.date) return 0;
  const auto air = tire_air(around, instant);
  const double celsius = air ? air->celsius : usual_celsius;
  return rate_at((celsius + fill.celsius.value_or(celsius)) / 2) * to_seconds(instant - fill.date);
}

TireExpectation TireModel::expectation(const Surroundings& around, bool by_hand, Instant instant) const {
  return expectation(around, tire_air(around, instant), tire_ambient(around, by_hand, instant), instant);
}

TireExpectation TireModel::expectation(const Surroundings& around, const std::optional<TireAir>& air,
                                       const Sample& ambient, Instant instant) const {
  const TireFill fill = current_fill(around);
  return expect_tire(around, fill, seeped_at(around, fill, instant), air, ambient, instant);
}

Expectation TireModel::expected(const Surroundings& around, std::uint8_t, Instant instant) const {
  constexpr std::uint8_t pressure = index_of(TireQuantity::pressure);
  const Measured current = around.measured(pressure);
  bool by_hand = current.known && current.by_hand;
  if (!current.known || current.at != instant) {
    const Sample then = around.at(Surroundings::Whose::own, pressure, instant);
    if (then.known && then.at == instant) by_hand = then.by_hand;
  }
  return expectation(around, by_hand, instant).answer;
}

// Notices a new fill, and adds the seepage of the time that passed.
void TireModel::pass_time(const Surroundings& around) {
  const Instant now = around.now();
  TireFill fill = current_fill(around);
  if (!fill.same_as(fill_)) {
    const double seeped = seeped_at(around, fill, now);
    restart_trends(fill.date);
    last_.reset();
    seeped_.restart(fill.date, 0);
    if (now > fill.date) seeped_.advance(now, seeped);
  }
  fill_ = fill;
  if (!fill_.known || now <= fill_.date) return;
  const Span passed = now - seeped_.last().at;
  if (passed < one_hour && seepage_rate_ > 0) return;
  const auto air = tire_air(around, now);
  const double before = seepage_rate_;
  if (air) {
    seepage_rate_ = rate_at(air->celsius);
  } else if (before <= 0) {
    seepage_rate_ = rate_at(fill_.celsius.value_or(usual_celsius));
  }
  const double mean = before > 0 ? (before + seepage_rate_) / 2 : seepage_rate_;
  if (passed > Span::zero()) seeped_.advance(now, seeped_.last().value + mean * to_seconds(passed));
}

void TireModel::update(Surroundings& around) {
  pass_time(around);
  const Measured current = around.measured(index_of(TireQuantity::pressure));
  const bool usable = current.known && (!fill_.known || current.at >= fill_.date);
  const bool seen = last_ && last_->at == current.at && last_->by_hand == current.by_hand;
  if (usable && current.fresh) {
    take(around, judge(around, current));
  } else if (usable && !seen) {
    last_ = judge(around, current);  // the sensor fell silent: the newest hand reading speaks again
    compute_trend(around);
  }
  if (around.now() >= next_trend_) {
    find_rise_at_dawn(around);
    compute_trend(around);
    next_trend_ = next_trend_time(around.now(), around.zone());
  }
  publish(around);
}

TireModel::Judged TireModel::judge(const Surroundings& around, const Sample& reading) const {
  Judged judged;
  judged.at = reading.at;
  judged.by_hand = reading.by_hand;
  judged.pressure = reading.value;
  judged.own_plus_minus = reading.plus_minus;
  const auto air = tire_air(around, reading.at);
  if (!air) return judged;
  judged.celsius = air->celsius;
  const Temperature temperature(air->celsius);
  const Sample outside = tire_ambient(around, reading.by_hand, reading.at);
  const AbsolutePressure ambient(outside.value);
  const GaugePressure pressure(reading.value);
  if (const auto normal = normalized_pressure(pressure, temperature, ambient)) judged.normalized = normal->value;
  // Half of a sensor's error stays the same from reading to reading (estimate): it hides no trend. For a jump all of it
  // counts: whole_noise.
  const auto noise =
      tire_noise(PressureDifference(reading.plus_minus / 4), PressureDifference(reading.by_hand ? 0 : resolution()),
                 pressure, ambient, temperature, TemperatureStep(air->sigma));
  judged.noise = noise ? noise->value : reading.plus_minus / 2;
  const Expectation expected = expectation(around, air, outside, reading.at).answer;
  if (expected.known()) {
    judged.residual = (reading.value - expected.value) / judged.as_read();
    judged.plus_minus = expected.plus_minus / judged.as_read();
  }
  return judged;
}

void TireModel::take(Surroundings& around, const Judged& reading) {
  last_ = reading;
  filled_by_act_ = false;
  if (!reading.normalized) return;
  if (reading.by_hand) {
    take_by_hand(around, reading);
  } else {
    take_by_sensor(around, reading);
  }
}

void TireModel::ask_about_rise(Surroundings& around, double rise) const {
  around.ask(fmt::format(
      "its pressure rose by {} and no act says why. Was it pumped up? Then record it: filled.",
      print_value(rise, Type::gauge(), Shown::tire_pressure, around.display_units(), around.zone(), around.now())));
}

// A tire pumped up at noon may hide in what the sun makes uncertain, and each reading after it agrees with the one
// before. Two dawns after it agree that it rose.
void TireModel::find_rise_at_dawn(Surroundings& around) {
  constexpr std::size_t after = 2;
  if (!last_ || last_->by_hand) return;
  const auto days = after_last_gap(daily_.values(around.now(), around.now() - window, around.zone()));
  if (days.size() < fewest_before + after) return;
  std::vector<double> before;
  for (std::size_t i = days.size() - after; i > 0 && before.size() < readings_before; --i) {
    before.push_back(days[i - 1].value);
  }
  const double usual = median(before).value_or(days.back().value);
  const double rise = std::min(days[days.size() - 2].value, days.back().value) - usual;
  if (rise < std::max(3 * pascals_per_psi, 5 * trend_errors(around).both())) return;
  ask_about_rise(around, rise);
  restart_trends(days[days.size() - after].at);
}

void TireModel::learn_resolution(double pressure) {
  constexpr double arithmetic = 1;  // Pa
  const double difference = std::abs(pressure - last_raw_.value_or(pressure));
  if (difference > arithmetic) step_ = std::min(step_.value_or(difference), difference);
  last_raw_ = pressure;
}

double TireModel::resolution() const { return std::min(step_.value_or(0), 10e3); }

// A radio repeats a packet within seconds, and a broker may bring it twice: that is one reading.
void TireModel::count_drop(bool drops, const Judged& reading) {
  if (!drops) drops_ = 0;
  if (!drops || (drops_ > 0 && reading.at - dropped_at_ < one_minute)) return;
  dropped_at_ = reading.at;
  if (++drops_ == 2) noise_at_loss_ = reading.whole_noise();
}

void TireModel::take_by_sensor(Surroundings& around, const Judged& reading) {
  learn_resolution(reading.pressure);
  const double normal = *reading.normalized;
  // A loss is over when the pressure is back within what it was found by, not when the sun makes readings uncertain.
  const double threshold = std::max(3 * pascals_per_psi, 5 * (lost() ? noise_at_loss_ : reading.whole_noise()));
  jump_ = 0;
  if (before_.size() >= fewest_before) {
    const std::vector<double> before(before_.begin(), before_.end());
    jump_ = normal - median(before).value_or(normal);
  }
  count_drop(jump_ <= -threshold, reading);
  rises_ = jump_ >= threshold ? rises_ + 1 : 0;
  if (drops_ > 0) return;  // neither the trend nor the next jump rests on it
  if (rises_ == 1) return;
  if (rises_ >= 2) {
    ask_about_rise(around, jump_);
    restart_trends(reading.at);
  }
  before_.push_back(normal);
  if (before_.size() > readings_before) before_.pop_front();
  keep_for_trend(around, reading);
}

void TireModel::take_by_hand(Surroundings& around, const Judged& reading) {
  const double shown = reading.as_read();
  if (lost() && reading.residual &&
      *reading.residual * shown > -std::max(3 * pascals_per_psi, reading.plus_minus * shown)) {
    drops_ = 0;  // a person gauged it: the sensor is wrong
    before_.clear();
  }
  const bool known =
      std::any_of(hand_.begin(), hand_.end(), [&](const Judged& other) { return other.at == reading.at; });
  if (known) {  // the newest hand reading speaks again after the sensor fell silent
    compute_trend(around);
    return;
  }
  const auto later = std::upper_bound(hand_.begin(), hand_.end(), reading.at,
                                      [](Instant at, const Judged& other) { return at < other.at; });
  const bool newest = later == hand_.end();
  const Measured current = around.measured(index_of(TireQuantity::pressure));
  const bool by_sensor = current.known && !current.by_hand;  // that would have seen it rise
  if (newest && !by_sensor && !hand_.empty() && reading.residual && hand_.back().residual) {
    const double rise = *reading.residual - *hand_.back().residual;
    if (rise >= std::max({3 * pascals_per_psi, reading.plus_minus, hand_.back().plus_minus})) {
      ask_about_rise(around, rise);
      restart_trends(reading.at);
      hand_.push_back(reading);
      return;
    }
  }
  hand_.insert(later, reading);
  if (hand_.size() > most_trend_values) hand_.pop_front();
  compute_trend(around);
}

void TireModel::late_reading(Surroundings& around, std::uint8_t quantity, const Sample& reading) {
  if (quantity != index_of(TireQuantity::pressure) || !reading.known) return;
  if (fill_.known && reading.at < fill_.date) return;
  const Judged judged = judge(around, reading);
  if (!judged.normalized) return;
  if (reading.by_hand) {
    take_by_hand(around, judged);
  } else {
    keep_for_trend(around, judged);
  }
}

void TireModel::keep_for_trend(const Surroundings& around, const Judged& reading) {
  daily_.add(reading.at, *reading.normalized, around.zone());
  daily_celsius_.add(reading.at, *reading.celsius, around.zone());
}

void TireModel::forget_line() {
  line_.reset();
  young_.reset();
  perhaps_more_ = 0;
}

void TireModel::restart_trends(Instant from) {
  std::erase_if(hand_, [from](const Judged& reading) { return reading.at < from; });
  daily_.restart(from);
  daily_celsius_.restart(from);
  before_.clear();
  jump_ = 0;
  drops_ = rises_ = 0;
  forget_line();
  leaks_ = false;
}

void TireModel::act(Surroundings& around, std::uint8_t act, Instant at) {
  pass_time(around);
  const bool leaks = leaks_;
  restart_trends(at);
  if (static_cast<TireAct>(act) == TireAct::filled) {
    last_.reset();
    filled_by_act_ = true;
  } else {
    leaks_ = leaks;  // neither rolling nor looking mends it; the new trend will tell
  }
  next_trend_ = around.now();
}

// The weather's share lasts for days: what a barometer that nobody reads and a thermometer that follows badly get
// wrong.
TrendErrors TireModel::trend_errors(const Surroundings& around) const {
  if (!last_) return {pascals_per_psi, 0};
  const auto air = tire_air(around, last_->at);
  const Sample ambient = tire_ambient(around, last_->by_hand, last_->at);
  const double inside = last_->pressure + ambient.value;
  const double per_kelvin = inside / (air ? air->celsius + 273.15 : normal_kelvin);
  const double of_temperature = per_kelvin * (air && air->own ? 1 : 2) / 2;  // half of it stays the same
  const double of_rounding = line_by_hand_ ? 0 : resolution() / std::sqrt(12.0);
  return {std::hypot(0.2 * pascals_per_psi, of_rounding), std::hypot(of_temperature, ambient.plus_minus / 4)};
}

void TireModel::compute_trend(const Surroundings& around) {
  forget_line();
  if (!last_) return;
  line_by_hand_ = last_->by_hand;
  std::vector<TrendPoint> points;
  if (line_by_hand_) {
    for (const Judged& reading : hand_) points.push_back({reading.at, reading.normalized.value_or(0)});
    if (points.size() < 3 || points.back().at - points.front().at < shortest_by_hand) return;
  } else {
    points = after_last_gap(daily_.values(around.now(), around.now() - window, around.zone()));
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

void TireModel::save(ArchiveWriter& out) const { out(*this); }
void TireModel::load(ArchiveReader& in) { in(*this); }

}  // namespace overwinter
