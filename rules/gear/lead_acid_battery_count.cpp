// What the battery's charge is taken from: its rested voltage, held; or its current, counted, while it does not rest.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "rules/gear/lead_acid_battery_model.h"
#include "rules/gear/lead_acid_battery_words.h"
#include "rules/physics/electrolyte.h"

namespace overwinter {
namespace {

constexpr double full_plus_minus = 0.1;  // of the charge, k = 2: chargers stop, and persons look, at 90 % to 100 %
constexpr Span tapered_for = one_hour;

bool seen_by_sensor(const Measured& reading) { return reading.known && !reading.by_hand; }

const char* in_words(ChargeStart::By by) {
  switch (by) {
    case ChargeStart::By::rest:
      return "rested";
    case ChargeStart::By::hand:
      return "rested, by hand";
    case ChargeStart::By::hydrometer:
      return "by a hydrometer";
    case ChargeStart::By::told_full:
      return "full, as told: charged";
    case ChargeStart::By::charged:
      return "full, after 12 h of charging";
    case ChargeStart::By::tapered:
      return "full, for an hour at a charging voltage with no more than capacity/100 h flowing";
    case ChargeStart::By::end:
      return "where the count before came to its end";
  }
  return "";
}

}  // namespace

// One that may be frozen shows the same: ice takes no current.
bool LeadAcidBatteryModel::tapers(const Surroundings& around, const Battery& battery) const {
  const Measured voltage = around.measured(index_of(BatteryQuantity::voltage));
  const Measured current = around.measured(index_of(BatteryQuantity::current));
  return !danger_ && seen_by_sensor(voltage) && seen_by_sensor(current) && charger_.charging() &&
         hours_.now_voltage().value_or(0) >= still_charging_voltage &&
         std::abs(current.value) <= battery.resting_current();
}

std::optional<ChargeStart> LeadAcidBatteryModel::newest_start(const Surroundings& around,
                                                              const Battery& battery) const {
  std::optional<ChargeStart> newest;
  const auto offer = [&newest](const ChargeStart& start) {
    if (!newest || start.at > newest->at) newest = start;
  };
  const bool judged = held_ && !held_as_told(around);
  if (const auto charge = judged ? battery.state_of_charge(held_->voltage) : std::nullopt) {
    offer({held_->at, *charge, held_->voltage, held_plus_minus(battery),
           held_->by_hydrometer() ? ChargeStart::By::hydrometer
           : held_->by_hand       ? ChargeStart::By::hand
                                  : ChargeStart::By::rest});
  }
  const double full_voltage = battery.rested_voltage(1).value_or(0);
  if (const auto full = full_at(around); full && *full <= around.now()) {
    const bool seen = charger_.full_at() == full;
    const ChargeStart::By by = seen ? ChargeStart::By::charged : ChargeStart::By::told_full;
    if (!seen || !danger_) offer({*full, 1, full_voltage, full_plus_minus, by});
  }
  const Instant now = around.now();
  if (tapers_since_ && now - *tapers_since_ >= tapered_for) {
    offer({now, 1, full_voltage, full_plus_minus, ChargeStart::By::tapered});
  }
  return newest;
}

void LeadAcidBatteryModel::follow_count(const Surroundings& around, const Battery& battery,
                                        const std::optional<AcidTemperature>& acid) {
  constexpr std::uint8_t quantity = index_of(BatteryQuantity::current);
  if (!battery.capacity || !around.has_source(quantity)) return count_.stop();
  const Instant now = around.now();
  if (count_.started() && count_.last() > now) count_.stop();  // of a damaged state
  const Measured current = around.measured(quantity);
  const bool seen = seen_by_sensor(current);
  if (!tapers(around, battery)) {
    tapers_since_.reset();
  } else if (!tapers_since_) {
    tapers_since_ = now;
  }
  if (!seen) {
    count_.lose_sight();
  } else if (current.fresh && count_.started()) {
    const double self_discharge =
        self_discharge_rate(acid ? std::optional(acid->celsius) : std::nullopt, battery.chemistry);
    count_.read(battery, current.at, current.value, current.plus_minus, self_discharge);
  }
  const auto start = newest_start(around, battery);
  if (!start || (count_.started() && start->at <= count_.start().at)) return;
  count_.stop();
  if (seen) count_.restart(*start, current.value, current.plus_minus, now);
}

// A judged rest counts more than a count, as long as its voltage is seen.
bool LeadAcidBatteryModel::counts(const Surroundings& around) const {
  if (!count_.started() || !around.parameter(index_of(BatteryParameter::capacity))) return false;
  return !rests() || !seen_by_sensor(around.measured(index_of(BatteryQuantity::voltage)));
}

std::optional<double> LeadAcidBatteryModel::charge_now(const Surroundings& around, const Battery& battery) const {
  const Instant now = around.now();
  if (counts(around)) {
    return count_.says_something(battery, now) ? std::optional(count_.charge(battery, now)) : std::nullopt;
  }
  if (!held_is_known(now)) return {};
  return battery.state_of_charge(held_->voltage);
}

bool LeadAcidBatteryModel::held_as_told(const Surroundings& around) const {
  return held_ && !held_->by_hand && held_->at == charged_as_told(around);
}

double LeadAcidBatteryModel::charge_plus_minus(const Surroundings& around, const Battery& battery) const {
  return counts(around) ? count_.plus_minus(battery, around.now()) : held_plus_minus(battery);
}

std::optional<double> LeadAcidBatteryModel::rested_voltage_now(const Surroundings& around,
                                                               const Battery& battery) const {
  if (counts(around)) {
    const auto charge = charge_now(around, battery);
    return charge ? std::optional(count_.voltage_at(battery, *charge)) : std::nullopt;
  }
  return held_is_known(around.now()) ? std::optional(held_->voltage) : std::nullopt;
}

Instant LeadAcidBatteryModel::charge_known_at(const Surroundings& around) const {
  return counts(around) || !held_ ? around.now() : held_->at;
}

const char* LeadAcidBatteryModel::no_charge_because(const Surroundings& around) const {
  if (counts(around)) return "its current was counted, or missed, for so long that nothing is sure: it needs a rest";
  return "no rested voltage or hydrometer reading is known, or the last one is older than 7 days";
}

// How much warmer the acid freezes, if more was drawn than was counted.
double LeadAcidBatteryModel::freezing_unsure_of_count(const Surroundings& around, const Battery& battery,
                                                      double freezing_point) const {
  if (!counts(around)) return 0;
  const auto charge = charge_now(around, battery);
  if (!charge) return 0;
  const double least = std::max(0.0, *charge - count_.unsure(battery, around.now()));
  const auto strength = lead_acid_specific_gravity(Voltage(count_.voltage_at(battery, least)), Temperature(25));
  if (!strength) return 0;
  const auto point = electrolyte_freezing_point(*strength);
  return point ? std::max(0.0, point->value - freezing_point) : 0;
}

// What was counted in lines that a calculator follows.
void LeadAcidBatteryModel::explain_count(const Surroundings& around, const Battery& battery, Explanation& out) const {
  const BatteryPrinter print{{around}};
  const Instant now = around.now();
  const ChargeStart& start = count_.start();
  const Counted counted = count_.counted(battery, now);
  const double charge = count_.charge(battery, now);
  constexpr double ampere_hour = 3600;
  const double capacity = *battery.capacity / ampere_hour;
  const double drawn = counted.out / ampere_hour;
  const double put_in = counted.in / ampere_hour;
  const double missed = counted.missed / ampere_hour;
  out.calculation.push_back(
      fmt::format("counted from {:.1f} % since {} ({}; {:.3f} V rested at 25 °C, six cells) by its current: {:.2f} Ah "
                  "out, {:.2f} Ah "
                  "in",
                  100 * start.charge, print.date_and_time(start.at), in_words(start.by), start.voltage, drawn, put_in));
  if (counted.unseen > 0) {
    out.calculation.push_back(fmt::format("{:.2f} Ah more in {:.1f} h without a reading of its current, by the mean",
                                          missed, counted.unseen / 3600));
  }
  const double efficiency = charging_efficiency(battery.chemistry);
  out.calculation.push_back(
      fmt::format("{:.1f} % - ({:.2f} Ah - {} x {:.2f} Ah) / {:.1f} Ah - {:.2f} % of self-discharge = {:.1f} %",
                  100 * start.charge, drawn + missed, efficiency, put_in, capacity, 100 * counted.lost, 100 * charge));
  const double by_sensor = counted.sensor_error / ampere_hour;
  const double unsure = counted.unsure / ampere_hour;
  out.calculation.push_back(fmt::format(
      "unsure: ({} x ({:.2f} Ah + {:.2f} Ah) + {:.2f} Ah by its sensor in {:.1f} h + {:.2f} Ah by gaps, "
      "long standing readings and counts before) / {:.1f} Ah = {:.1f} %, with {:.1f} % of the start (root of "
      "the squares): ± {:.1f} %",
      counted_share_unsure, drawn, put_in, by_sensor, counted.watched / 3600, unsure, capacity,
      100 * count_.unsure(battery, now), 100 * start.plus_minus, 100 * count_.plus_minus(battery, now)));
  if (!count_.says_something(battery, now)) out.missing.emplace_back("a rest: nothing is sure of so long a count");
}

}  // namespace overwinter
