#include "rules/gear/lead_acid_battery_model.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "rules/physics/robust_trend.h"

namespace overwinter {
namespace {

constexpr Span hold = 7 * one_day;        // how long a charge stands while the battery is not at rest
constexpr Span surface_charge = one_day;  // it decays for a day
constexpr Span temperatures_kept = 8 * one_day;
constexpr std::size_t fewest_daily = 9;
constexpr std::size_t most_unjudged = 8;
constexpr Span shortest_by_hand = 14 * one_day;
constexpr Span window = 28 * one_day;
constexpr double unexplained_rise = 0.15;  // of the charge, between two days or two hand readings
constexpr double least_sigma = 0.01;       // of the charge: 10 mV of a meter's rounding

// Of those of a rest; there is one at least.
double median_of(const std::deque<TrendPoint>& points) {
  std::vector<double> values;
  for (const TrendPoint& p : points) values.push_back(p.value);
  return median(values).value_or(points.back().value);
}

}  // namespace

std::optional<Instant> LeadAcidBatteryModel::charged_as_told(const Surroundings& around) const {
  if (told_charge_lies_ahead(around)) return std::nullopt;
  const auto told = around.parameter(index_of(BatteryParameter::charged_date));
  return told ? std::optional(instant_from_seconds(*told)) : std::nullopt;
}

bool LeadAcidBatteryModel::told_charge_lies_ahead(const Surroundings& around) {
  const auto told = around.parameter(index_of(BatteryParameter::charged_date));
  return told && lies_ahead(instant_from_seconds(*told), around.now());
}

std::optional<Instant> LeadAcidBatteryModel::full_at(const Surroundings& around) const {
  return std::max(charged_as_told(around), charger_.full_at());  // nothing is before any instant
}

double LeadAcidBatteryModel::charge_at(const Surroundings& around, const Battery& battery, Instant full,
                                       Instant instant) const {
  if (decline_.started() && decline_.full_at() == full) return decline_.at(instant);
  Decline since_then;  // right before the first update
  since_then.pass_time(around, battery, full);
  return since_then.started() ? since_then.at(instant) : 1;
}

const char* LeadAcidBatteryModel::not_comparable_because(const Surroundings& around, const Battery& battery,
                                                         Instant instant) const {
  const Measured reading = around.measured(index_of(BatteryQuantity::voltage));
  const bool this_one = reading.known && reading.at == instant;
  if (this_one && battery.to_block(reading.value) > highest_rested_voltage.value) {
    return "it is charging or carries surface charge: above 12.9 V (of six cells)";
  }
  if (charger_.charging()) return "it is charging";
  if (charger_.charged_within(surface_charge, instant)) {
    return "it was charged within 24 h and may carry surface charge";
  }
  const auto full = full_at(around);
  if (full && instant < *full + surface_charge) return "it was charged within 24 h and may carry surface charge";
  if (this_one && reading.by_hand) return not_rested_because(battery, reading);
  if (!rests()) return "it is not at rest: six quiet hours have not been seen";
  return nullptr;
}

Expectation LeadAcidBatteryModel::expected(const Surroundings& around, std::uint8_t, Instant instant, bool) const {
  const auto unknown = [](const char* why) { return Expectation{0, 0, why}; };
  const Battery battery = battery_of(around);
  const auto full = full_at(around);
  if (!full && told_charge_lies_ahead(around)) {
    return unknown("the date of its full charge lies in the future (charged: {date})");
  }
  if (!full) return unknown("no full charge is told (charged: {date}) and none was seen");
  if (instant < *full) return unknown("the reading is older than the last full charge");
  if (const char* because = not_comparable_because(around, battery, instant)) return unknown(because);
  const auto acid = acid_temperature(around, instant);
  if (!acid) return unknown("the temperature of the battery, or of its place, is not known at that instant");
  return rested_expectation(battery, charge_at(around, battery, *full, instant), acid->celsius);
}

void LeadAcidBatteryModel::update(Surroundings& around) {
  const Battery battery = battery_of(around);
  decline_.pass_time(around, battery, full_at(around));
  const auto acid = acid_temperature(around, around.now());
  follow_temperature(around.now(), acid);
  follow_load(around, battery);
  follow_charger(around, battery, acid);  // power first: it decides how a reading of this step counts
  follow_voltage(around, battery, acid);
  follow_hydrometer(around);
  follow_charger(around, battery, acid);
  follow_count(around, battery, acid);
  const std::optional<Gravity> strength = gravity(around, battery);
  const std::optional<AcidJudged> judged = judged_acid(around, battery, strength, acid);
  follow_danger(around.now(), judged, acid);
  if (around.now() >= next_trend_) {
    compute_trend(around);
    next_trend_ = next_trend_time(around.now(), around.zone());
  }
  publish(around, battery, acid, strength, judged);
  wake_ = next_wanted(around);
}

void LeadAcidBatteryModel::follow_temperature(Instant now, const std::optional<AcidTemperature>& acid) {
  std::erase_if(temperatures_, [now](const TrendPoint& p) { return p.at < now - temperatures_kept; });
  if (!acid) return;
  last_acid_ = TrendPoint{now, acid->celsius};
  if (temperatures_.empty() || now - temperatures_.back().at >= one_hour) temperatures_.push_back(*last_acid_);
}

void LeadAcidBatteryModel::follow_load(const Surroundings& around, const Battery& battery) {
  const Measured current = around.measured(index_of(BatteryQuantity::current));
  const bool beyond_rest = current.known && std::abs(current.value) > battery.resting_current();
  if (!current.known || !current.by_hand) return load_.see(beyond_rest, around.now());
  if (beyond_rest && current.fresh) load_.see(true, current.at);
  load_.see(false, current.at);  // who clamps a meter on sees what flows then, and no more
}

std::optional<double> LeadAcidBatteryModel::current_now(const Surroundings& around) {
  const Measured current = around.measured(index_of(BatteryQuantity::current));
  if (!current.known || (current.by_hand && around.now() - current.at >= hand_reach)) return {};
  return current.value;
}

void LeadAcidBatteryModel::follow_voltage(Surroundings& around, const Battery& battery,
                                          const std::optional<AcidTemperature>& acid) {
  const Instant now = around.now();
  const Measured reading = around.measured(index_of(BatteryQuantity::voltage));
  if (reading.known && reading.fresh) {
    if (reading.by_hand) {
      take_by_hand(around, battery, reading);
    } else {
      const auto then = reading.at == now ? acid : acid_temperature(around, reading.at);
      if (hours_.next_close() <= reading.at && hours_.close(reading.at)) judge_rest(around, battery);
      hours_.add(reading.at, battery.to_block(reading.value), then ? std::optional(then->celsius) : std::nullopt);
    }
  }
  if (hours_.close(now)) judge_rest(around, battery);
  if (!unjudged_.empty()) take_kept(around, battery);
}

void LeadAcidBatteryModel::follow_charger(Surroundings& around, const Battery& battery,
                                          const std::optional<AcidTemperature>& acid) {
  const Measured power = around.measured(index_of(BatteryQuantity::shore_power));
  if (power.known) {
    charger_.power(power.value != 0, power.at);
  } else {
    charger_.power_unknown();
  }
  const Measured voltage = around.measured(index_of(BatteryQuantity::voltage));
  ChargerSight sight;
  sight.now = around.now();
  if (voltage.known && !voltage.by_hand) sight.voltage = hours_.now_voltage();
  if (acid) sight.celsius = acid->celsius;
  sight.current = current_now(around);
  sight.resting_current = battery.resting_current();
  // Of the last known temperature: a thermometer that falls silent warms no battery.
  sight.sleeps_until =
      charger_sleeps_until(around, battery, last_acid_ ? std::optional(last_acid_->value) : std::nullopt);
  const bool was_charging = charger_.charging();
  charger_.see(sight, hours_);
  const bool above = sight.voltage && *sight.voltage > highest_rested_voltage.value;
  if (charger_.charging() || load_.within(until_rest, sight.now) || above) {
    at_rest_ = false;
    rested_.clear();
  }
  if (charger_.charging() && !was_charging) restart_trends(around.now());
  // What was judged before a long charge says nothing after it, nor does acid read while it went on; one that may be
  // frozen took none.
  if (!held_ || danger_) return;
  const bool ended = was_charging && !charger_.charging();
  const bool charged_since = ended && !held_as_told(around) && charger_.charged_long_since(held_->at);
  const bool read_before_full = held_->by_hydrometer() && charger_.full_at().value_or(Instant{}) > held_->at;
  if (charged_since || read_before_full) held_.reset();
}

std::optional<bool> LeadAcidBatteryModel::rest_of_hours(const Surroundings& around) const {
  const Instant now = around.now();
  if (charger_.charging() || load_.within(until_rest, now)) return false;
  // Hours from before the act are of another battery, or of this one before its charge.
  const Instant since = std::max(load_.until(), charged_as_told(around).value_or(Instant{}));
  return voltage_rests(hours_.hours(), now, since, charger_.charged_until(), hours_.noise());
}

void LeadAcidBatteryModel::judge_rest(Surroundings& around, const Battery& battery) {
  at_rest_ = rest_of_hours(around);
  if (!rests()) {
    rested_.clear();
    return;
  }
  const HourMedian& hour = hours_.hours().back();
  if (!hour.celsius) return;
  const double voltage = battery.rested_at_25_degrees(hour.voltage, *hour.celsius);
  rested_.push_back({hour.at, voltage});
  std::erase_if(rested_, [&hour](const TrendPoint& p) { return p.at <= hour.at - one_day; });
  const double daily = median_of(rested_);
  const Measured reading = around.measured(index_of(BatteryQuantity::voltage));
  const bool is_newest = !held_ || !held_->by_hydrometer() || hour.at > held_->at;
  if (is_newest) held_ = Held{hour.at, daily, battery.to_block(reading.plus_minus)};
  charger_.rested(hour.voltage);
  if (const auto charge = battery.state_of_charge(daily)) {
    if (!level_ || hour.at - level_->at >= one_day) check_rise(around, *charge, hour.at);
    if (const auto of_hour = battery.state_of_charge(voltage)) daily_.add(hour.at, *of_hour, around.zone());
  }
}

const char* LeadAcidBatteryModel::not_rested_because(const Battery& battery, const Sample& reading) const {
  if (battery.to_block(reading.value) > highest_rested_voltage.value) {
    return "it is charging or carries surface charge: above 12.9 V (of six cells)";
  }
  if (charger_.charged_within(until_rest, reading.at)) return "it was charging within 6 h before the reading";
  if (load_.within(until_rest, reading.at)) {
    return "current beyond a hundredth of its capacity an hour flowed within 6 h before the reading";
  }
  if (charger_.powered_within(until_rest, reading.at)) return "shore power was on within 6 h before the reading";
  return nullptr;
}

void LeadAcidBatteryModel::take_by_hand(Surroundings& around, const Battery& battery, const Sample& reading) {
  if (not_rested_because(battery, reading) != nullptr) return;
  const auto acid = acid_temperature(around, reading.at);
  const double block = battery.to_block(reading.value);
  if (!acid && block >= fully_discharged_voltage.value) return keep_for_a_temperature(reading);
  const double voltage = battery.rested_at_25_degrees(block, acid ? acid->celsius : 25);
  const auto charge = battery.state_of_charge(voltage);
  if (!charge) return;
  const auto same = [&reading](const TrendPoint& p) { return p.at == reading.at; };
  if (std::none_of(hand_.begin(), hand_.end(), same)) {
    if (hand_.empty() || reading.at > hand_.back().at) check_rise(around, *charge, reading.at);
    const auto later = std::upper_bound(hand_.begin(), hand_.end(), reading.at,
                                        [](Instant at, const TrendPoint& p) { return at < p.at; });
    hand_.insert(later, {reading.at, *charge});
    if (hand_.size() > most_trend_values) hand_.pop_front();
  }
  if (!held_ || reading.at >= held_->at) {
    held_ = Held{reading.at, voltage, battery.to_block(reading.plus_minus), true};
    charger_.rested(battery.to_block(reading.value));
  }
  compute_trend(around);
}

void LeadAcidBatteryModel::keep_for_a_temperature(const Sample& reading) {
  const auto same = [&reading](const Unjudged& u) { return u.at == reading.at; };
  if (std::any_of(unjudged_.begin(), unjudged_.end(), same)) return;
  unjudged_.push_back({reading.at, reading.value, reading.plus_minus});
  if (unjudged_.size() > most_unjudged) unjudged_.pop_front();
}

// A walk around reads the thermometer last as often as first.
void LeadAcidBatteryModel::take_kept(Surroundings& around, const Battery& battery) {
  std::deque<Unjudged> waiting;
  waiting.swap(unjudged_);
  for (const Unjudged& u : waiting) {
    if (u.at < around.now() - temperatures_kept) continue;
    take_by_hand(around, battery, {u.voltage, u.plus_minus, u.at, true, true});
  }
}

void LeadAcidBatteryModel::late_reading(Surroundings& around, std::uint8_t quantity, const Sample& reading) {
  // A sensor's late voltage says nothing: whether the battery rested then is not known.
  if (quantity != index_of(BatteryQuantity::voltage) || !reading.known || !reading.by_hand) return;
  take_by_hand(around, battery_of(around), reading);
}

void LeadAcidBatteryModel::check_rise(Surroundings& around, double charge, Instant at) {
  if (level_ && charge - level_->value > unexplained_rise) {
    around.ask_of_rise(
        fmt::format("its charge rose by {:.0f} % and no act says why. Was it charged? Then record it: charged.",
                    100 * (charge - level_->value)),
        level_->at, index_of(BatteryParameter::charged_date));
    restart_trends(at);
  }
  level_ = TrendPoint{at, charge};
}

void LeadAcidBatteryModel::act(Surroundings& around, std::uint8_t, Instant at) {
  restart_trends(at);
  std::erase_if(rested_, [at](const TrendPoint& p) { return p.at < at + one_hour / 2; });  // of hours that began before
  at_rest_ = rest_of_hours(around);
  if (!rests()) rested_.clear();
  if (rests() && rested_.empty()) judge_rest(around, battery_of(around));  // what it read before the act hid the rest
  // A judgment older than the act, or that rests on hours before it, is not of this battery any more: it is full, as
  // told, until a rest says otherwise.
  const bool of_hours = held_ && !held_->by_hand && !held_->by_hydrometer();
  const Instant counts_from = of_hours ? at + until_rest : at;
  if (held_ && held_->at >= counts_from) {
    if (of_hours && !rested_.empty()) held_->voltage = median_of(rested_);
  } else {
    held_.reset();
    if (const auto full = battery_of(around).rested_voltage(1)) held_ = Held{at, *full, 0};
  }
  if (danger_ && danger_->charge_at < at) danger_.reset();
  std::erase_if(unjudged_, [at](const Unjudged& u) { return u.at < at; });
  next_trend_ = around.now();
}

bool LeadAcidBatteryModel::is_told_of_other_work(const Surroundings& around) const {
  return full_at(around) != (decline_.started() ? std::optional(decline_.full_at()) : std::nullopt);
}

void LeadAcidBatteryModel::new_sensor(std::uint8_t quantity, Instant at) {
  if (quantity != index_of(BatteryQuantity::voltage)) return;
  hours_ = {};
  at_rest_.reset();
  rested_.clear();
  daily_.restart(at);
  level_.reset();
  line_.reset();
  next_trend_ = at;
}

void LeadAcidBatteryModel::restart_trends(Instant from) {
  std::erase_if(hand_, [from](const TrendPoint& p) { return p.at < from; });
  daily_.restart(from);
  level_.reset();
  line_.reset();
}

void LeadAcidBatteryModel::compute_trend(const Surroundings& around) {
  line_.reset();
  if (!held_) return;
  if (!held_->by_hydrometer()) line_by_hand_ = held_->by_hand;
  std::vector<TrendPoint> points;
  if (line_by_hand_) {
    for (const TrendPoint& p : hand_) points.push_back(p);
    if (points.size() < 3 || points.back().at - points.front().at < shortest_by_hand) return;
  } else {
    points = after_last_gap(daily_.values(around.now(), around.now() - window, around.zone()));
    if (points.size() < fewest_daily) return;
  }
  line_ = trend_line(points, {least_sigma, 0});
}

// A hand reading stands for longer: what is only read by hand rests as long as nothing charges it.
bool LeadAcidBatteryModel::held_is_known(Instant now) const {
  if (!held_) return false;
  const Span age = now - held_->at;
  return age <= hold || (held_->by_hand && !charger_.charged_within(age, now) && !charger_.powered_within(age, now));
}

Instant LeadAcidBatteryModel::next_wanted(const Surroundings& around) const {
  Instant next = std::min(next_trend_, hours_.next_close());
  if (held_ && !held_->by_hand && held_->at + hold >= around.now()) {
    next = std::min(next, held_->at + hold + Span(1));
  }
  if (counts(around)) next = std::min(next, around.now() + one_hour);       // what flows, flows on
  if (charger_.power_on()) next = std::min(next, around.now() + one_hour);  // its delays run on
  const Measured current = around.measured(index_of(BatteryQuantity::current));
  if (current.by_hand && current_now(around)) next = std::min(next, current.at + hand_reach);
  return next;
}

void LeadAcidBatteryModel::save(ArchiveWriter& out) const { out(*this); }
void LeadAcidBatteryModel::load(ArchiveReader& in) { in(*this); }

}  // namespace overwinter
