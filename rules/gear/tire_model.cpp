#include "rules/gear/tire_model.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <span>

#include "rules/physics/robust_trend.h"
#include "rules/physics/tire_pressure.h"
#include "rules/physics/tire_seepage.h"

namespace overwinter {
namespace {

constexpr std::size_t readings_before = 5;  // a jump is measured against their median
constexpr std::size_t fewest_before = 3;
constexpr double usual_celsius = 10;  // where no temperature is known yet
// What a leak may take while nothing is read is no sudden loss (common practice, no source).
constexpr double slow_leak_per_day = 2 * pascals_per_psi;

double rate_at(double celsius) {
  const auto rate = tire_seepage(Temperature(std::clamp(celsius, -40.0, 60.0)));
  return rate ? rate->value : 0;
}

}  // namespace

TireFill TireModel::current_fill(const Surroundings& around) const {
  const bool is_told = told_ == around.times_told() || told_fill(around).same_as(fill_);
  if (!fill_.celsius || !is_told) return tire_fill(around);
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

Expectation TireModel::expected(const Surroundings& around, std::uint8_t, Instant instant, bool by_hand) const {
  return expectation(around, by_hand, instant).answer;
}

// Notices a new fill, also one whose date has come, and adds the seepage of the time that passed.
void TireModel::pass_time(const Surroundings& around) {
  const TireFill fill = current_fill(around);
  const bool has_come = last_ && fill.was_after(last_->at, around.now());
  const bool is_new = !fill.same_as(fill_) || has_come;
  if (is_new) {
    restart_trends_by_work(around, fill.date);
    before_.clear();
    last_.reset();
    seeped_ = {};
  }
  fill_ = fill;
  told_ = around.times_told();
  accrue_seepage(around);
  if (is_new) judge_hand_readings_anew(around);
}

// Counted from the first temperature that is known, which stands for the time since the fill: what is assumed before,
// because a thermometer speaks a moment after the start, leaves no trace.
void TireModel::accrue_seepage(const Surroundings& around) {
  const Instant now = around.now();
  if (!fill_.known || now <= fill_.date) return;
  const bool begins = !seeped_.started();
  const Span passed = begins ? Span::zero() : now - seeped_.last().at;
  if (!begins && passed < one_hour) return;
  const auto air = tire_air(around, now);
  if (begins) {
    if (!air) return;
    const double seeped = seeped_at(around, fill_, now);
    seeped_.restart(fill_.date, 0);
    seeped_.advance(now, seeped);
    seepage_rate_ = rate_at(air->celsius);
    return;
  }
  const double before = seepage_rate_;
  if (air) seepage_rate_ = rate_at(air->celsius);
  seeped_.advance(now, seeped_.last().value + (before + seepage_rate_) / 2 * to_seconds(passed));
}

// Those since a fill that is told later: what they ought to have been is that of this fill.
void TireModel::judge_hand_readings_anew(const Surroundings& around) {
  for (Judged& reading : hand_) {
    const Judged anew = judge(around, {reading.pressure, reading.own_plus_minus, reading.at, true, true});
    if (anew.normalized) reading = anew;  // else the weather of then is forgotten
  }
}

void TireModel::update(Surroundings& around) {
  pass_time(around);
  const Measured current = around.measured(index_of(TireQuantity::pressure));
  const bool usable = current.known && !fill_.was_after(current.at, around.now());
  const bool seen = last_ && last_->at == current.at && last_->by_hand == current.by_hand;
  const auto air_now = tire_air(around, around.now());
  const auto judged = [&] {
    return judge(around, current, current.at == around.now() ? air_now : tire_air(around, current.at),
                 current.expected);
  };
  judge_waiting(around);
  if (usable && current.fresh) {
    take(around, judged());
  } else if (usable && !seen) {
    last_ = judged();  // the sensor fell silent: the newest hand reading speaks again
    compute_trend(around);
  }
  if (around.now() >= next_trend_) {
    find_rise_at_dawn(around);
    compute_trend(around);
    next_trend_ = next_trend_time(around.now(), around.zone());
  }
  publish(around, current.known, air_now);
}

bool TireModel::thermometer_followed(const Surroundings& around, const Judged& reading) const {
  const auto air = tire_air(around, reading.at);
  return air && air->at - reading.at <= thermometer_follows;
}

void TireModel::wait_for_thermometer(const Judged& reading) {
  std::erase_if(waiting_, [&](const Judged& other) { return other.at == reading.at; });  // entered anew
  const auto later = std::upper_bound(waiting_.begin(), waiting_.end(), reading.at,
                                      [](Instant at, const Judged& other) { return at < other.at; });
  waiting_.insert(later, reading);
  if (waiting_.size() > most_trend_values) waiting_.pop_front();
}

// It may be gauged twice before the thermometer is read: each reading counts, not the newest alone.
void TireModel::judge_waiting(Surroundings& around) {
  constexpr Span entered_within = one_day;  // in the evening, from a note
  std::erase_if(waiting_, [&](const Judged& reading) { return around.now() - reading.at > entered_within; });
  const auto judged_now = [&](const Judged& reading) { return thermometer_followed(around, reading); };
  for (auto it = std::ranges::find_if(waiting_, judged_now); it != waiting_.end();
       it = std::ranges::find_if(waiting_, judged_now)) {
    const Judged reading = judge(around, {it->pressure, it->own_plus_minus, it->at, true, true});
    waiting_.erase(it);
    if (last_ && last_->by_hand && last_->at == reading.at) {
      take(around, reading);
    } else {
      take_by_hand(around, reading);
    }
  }
}

TireModel::Judged TireModel::judge(const Surroundings& around, const Sample& reading) const {
  return judge(around, reading, tire_air(around, reading.at), nullptr);
}

TireModel::Judged TireModel::judge(const Surroundings& around, const Sample& reading, const std::optional<TireAir>& air,
                                   const Expectation* expected) const {
  Judged judged;
  judged.at = reading.at;
  judged.by_hand = reading.by_hand;
  judged.pressure = reading.value;
  judged.own_plus_minus = reading.plus_minus;
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
  const Expectation ought = expected != nullptr ? *expected : expectation(around, air, outside, reading.at).answer;
  if (ought.known()) {
    judged.residual = (reading.value - ought.value) / judged.as_read();
    judged.plus_minus = ought.plus_minus / judged.as_read();
  }
  return judged;
}

void TireModel::take(Surroundings& around, const Judged& reading) {
  last_ = reading;
  filled_by_act_ = false;
  if (reading.by_hand) {
    take_by_hand(around, reading);
  } else if (reading.normalized) {
    if (line_by_hand_) compute_trend(around);  // it speaks again, and what it knew of a leak counts
    take_by_sensor(around, reading);
  }
}

void TireModel::ask_about_rise(Surroundings& around, double rise, Instant since) const {
  around.ask_of_rise(
      fmt::format(
          "its pressure rose by {} and no act says why. Was it pumped up? Then record it: filled.",
          print_value(rise, Type::gauge(), Shown::tire_pressure, around.display_units(), around.zone(), around.now())),
      since, index_of(TireParameter::filled_date));
}

// A tire pumped up at noon may hide in what the sun makes uncertain, and each reading after it agrees with the one
// before. Two dawns after it agree that it rose.
void TireModel::find_rise_at_dawn(Surroundings& around) {
  constexpr std::size_t after = 2;
  if (!last_ || last_->by_hand) return;
  const auto days = after_last_gap(daily_.values(around.now(), around.now() - trend_window, around.zone()));
  if (days.size() < fewest_before + after) return;
  std::vector<double> before;
  for (std::size_t i = days.size() - after; i > 0 && before.size() < readings_before; --i) {
    before.push_back(days[i - 1].value);
  }
  const double usual = median(before).value_or(days.back().value);
  const double rise = std::min(days[days.size() - 2].value, days.back().value) - usual;
  if (rise < std::max(3 * pascals_per_psi, 5 * trend_errors(around).both())) return;
  ask_about_rise(around, rise, days[days.size() - after - 1].at);
  restart_trends(days[days.size() - after].at);
}

void TireModel::learn_resolution(double pressure) {
  constexpr double arithmetic = 1;  // Pa
  const double difference = std::abs(pressure - last_raw_.value_or(pressure));
  if (difference > arithmetic) step_ = std::min(step_.value_or(difference), difference);
  last_raw_ = pressure;
}

void TireModel::forget_resolution() {
  step_.reset();
  last_raw_.reset();
}

double TireModel::resolution() const { return std::min(step_.value_or(0), 10e3); }

// A radio repeats a packet within seconds, and a broker may bring it twice: that is one reading.
void TireModel::count_drop(bool drops, const Judged& reading) {
  if (!drops) drops_ = 0;
  if (!drops || (drops_ > 0 && reading.at - dropped_at_ < one_minute)) return;
  if (drops_ == 0) fell_at_ = reading.at;
  dropped_at_ = reading.at;
  if (++drops_ == 2) noise_at_loss_ = reading.whole_noise();
}

// What a leak may have taken while nothing was read. Any leak only where its level is told against what it should read:
// else nobody would hear of the fall, unless it is told as leaking, and by as much; how fast is not known for some days
// after work or with another sensor.
double TireModel::slow_leak_over(Span unseen, const Judged& reading) const {
  if (reading.residual || (leaks_ && !line_)) return slow_leak_per_day * to_days(unseen);
  if (!leaks_ || line_by_hand_) return 0;
  const TrendLine& line = *told_line();
  return std::max(0.0, told_plus_minus(line) - line.slope) * to_seconds(unseen);
}

void TireModel::take_by_sensor(Surroundings& around, const Judged& reading) {
  learn_resolution(reading.pressure);
  const double normal = *reading.normalized;
  // A loss is over when the pressure is back within what it was found by, not when the sun makes readings uncertain.
  const double threshold = std::max(3 * pascals_per_psi, 5 * (lost() ? noise_at_loss_ : reading.whole_noise()));
  if (drops_ > 0 && before_.empty()) {
    // It fell since a fill, or by the sensor before this one: only what it should read says whether it is low.
    if (reading.residual.value_or(lost() ? jump_ : 0) <= -threshold) return count_drop(true, reading);
    drops_ = 0;
  }
  jump_ = 0;
  if (before_.size() >= fewest_before) {
    std::array<double, readings_before> before{};
    const std::size_t count = std::min(before_.size(), before.size());
    std::copy_n(before_.rbegin(), count, before.begin());
    jump_ = normal - median(std::span(before).first(count)).value_or(normal);
  }
  const bool fell = jump_ <= -threshold;
  const Span unseen = (drops_ > 0 ? fell_at_ : reading.at) - before_until_;
  count_drop(fell && jump_ <= -threshold - slow_leak_over(unseen, reading), reading);
  rises_ = jump_ >= threshold ? rises_ + 1 : 0;
  if (drops_ > 0) return;  // neither the trend nor the next jump rests on it
  if (rises_ == 1) return;
  if (fell) begin_after_silence(reading);
  if (rises_ >= 2) {
    ask_about_rise(around, jump_, before_until_);
    restart_trends(reading.at);
  }
  before_.push_back(normal);
  before_until_ = reading.at;
  if (before_.size() > readings_before) before_.pop_front();
  keep_for_trend(around, reading);
}

// What was read before a silence, in which it may have leaked so much, is no base any more, and a step is no slope, but
// where it is what the trend says. A leak that was found stands: the new trend will tell.
void TireModel::begin_after_silence(const Judged& reading) {
  before_.clear();
  if (reading.residual) restart_trends_of_sensor(reading.at);
}

void TireModel::take_by_hand(Surroundings& around, const Judged& reading) {
  if (!reading.celsius) wait_for_thermometer(reading);
  if (!reading.normalized) return;
  const double shown = reading.as_read();
  if (lost() && reading.at >= fell_at_ && reading.residual &&
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
      ask_about_rise(around, rise, hand_.back().at);
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
  if (fill_.was_after(reading.at, around.now())) return;
  const Judged judged = judge(around, reading);
  const bool has_fallen = drops_ > 0 && reading.at >= fell_at_;  // the trend is that of before
  if (reading.by_hand) {
    take_by_hand(around, judged);
  } else if (judged.normalized && !has_fallen) {
    keep_for_trend(around, judged);
  }
}

void TireModel::act(Surroundings& around, std::uint8_t act, Instant at) {
  pass_time(around);
  const bool leaks = leaks_;
  restart_trends_by_work(around, at);
  if (static_cast<TireAct>(act) == TireAct::filled) {
    last_.reset();
    filled_by_act_ = !lost();  // what it lost since nobody gauged
  } else {
    leaks_ = leaks;  // neither rolling nor looking mends it; the new trend will tell
  }
  next_trend_ = around.now();
}

bool TireModel::is_told_of_other_work(const Surroundings& around) const { return !told_fill(around).same_as(fill_); }

// Its own thermometer as well: pressures are kept as they would be at 20 degC. A leak that was found goes on; the new
// trend will tell. So does a sudden loss, for no sensor mends it.
void TireModel::new_sensor(std::uint8_t quantity, Instant at) {
  restart_trends_of_sensor(at);
  before_.clear();
  if (quantity == index_of(TireQuantity::pressure)) forget_resolution();
  if (!lost()) forget_drops();
  next_trend_ = at;
}

// A fill whose temperature nobody told is of an unknown one then: to go on with it would cry over a sound tire.
void TireModel::place_temperature_was_misread() {
  if (!fill_.temperature_given) fill_.celsius.reset();
}

void TireModel::save(ArchiveWriter& out) const { out(*this); }
void TireModel::load(ArchiveReader& in) { in(*this); }

}  // namespace overwinter
