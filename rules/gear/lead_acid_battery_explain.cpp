// How the battery's figures come about, in lines that a person can check with a calculator.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "rules/gear/lead_acid_battery_model.h"
#include "rules/gear/lead_acid_battery_words.h"
#include "rules/physics/electrolyte.h"
#include "rules/physics/lead_acid_decline.h"

namespace overwinter {
namespace {

void assume(const Surroundings& around, const Battery& battery, Explanation& out) {
  if (around.assumed(index_of(BatteryParameter::chemistry))) {
    out.assumed.emplace_back("chemistry: flooded, antimony grids (default)");
  }
  if (!battery.capacity && battery.load > 0)
    out.missing.emplace_back("capacity: without it parasitic_load is left out");
}

}  // namespace

void LeadAcidBatteryModel::explain(const Surroundings& around, std::uint8_t quantity, Instant instant,
                                   Explanation& out) const {
  const Battery battery = battery_of(around);
  const BatteryPrinter print{{around}};
  switch (static_cast<BatteryQuantity>(quantity)) {
    case BatteryQuantity::voltage:
      return explain_expected(around, battery, instant, out);
    case BatteryQuantity::temperature: {
      const auto acid = acid_temperature(around, instant);
      if (!acid) out.missing.emplace_back("temperature of the battery, and of its place: not known");
      if (acid && !acid->own) {
        out.assumed.push_back(fmt::format("{}: {}", print.temperature(acid->celsius), whose(false)));
      }
      return;
    }
    case BatteryQuantity::at_rest:
      out.calculation.emplace_back(
          "at rest: for 6 h all hourly medians at most 12.9 V, slope within 5 mV/h plus 1.2 mV/K of warming (of six "
          "cells), current within capacity/100 h, not charging; a sensor that reports seldom: the same by its last "
          "readings, two at "
          "least, six hours apart");
      out.assumed.emplace_back(
          "a hand reading is of a rested battery unless charging, a load or shore power within 6 h says no");
      return;
    case BatteryQuantity::state_of_charge:
      return explain_charge(around, battery, out);
    case BatteryQuantity::cranking_capacity:
      return explain_cranking(around, battery, out);
    case BatteryQuantity::charge_time:
      return explain_charge_time(around, battery, out);
    case BatteryQuantity::time_until_recharge:
      return explain_time_until_recharge(around, battery, out);
    case BatteryQuantity::estimated_specific_gravity:
    case BatteryQuantity::electrolyte_freezing_point:
    case BatteryQuantity::freezing_margin:
      return explain_acid(around, battery, out);
    case BatteryQuantity::assumed_temperature:
      if (const auto acid = acid_temperature(around, around.now())) {
        out.assumed.push_back(fmt::format("temperature of the acid: {}", whose(acid->own)));
      }
      return;
    case BatteryQuantity::self_discharge_rate:
    case BatteryQuantity::standing_loss:
      return explain_losses(around, battery, out);
    case BatteryQuantity::charging:
    case BatteryQuantity::charger_verdict:
      return explain_charger(around, battery, out);
    case BatteryQuantity::current:
    case BatteryQuantity::shore_power:
    case BatteryQuantity::specific_gravity:
      return;
  }
}

void LeadAcidBatteryModel::explain_expected(const Surroundings& around, const Battery& battery, Instant instant,
                                            Explanation& out) const {
  const BatteryPrinter print{{around}};
  assume(around, battery, out);
  const auto full = full_at(around);
  const auto acid = acid_temperature(around, instant);
  if (full && acid && instant >= *full) {
    const double left = charge_at(around, battery, *full, instant);
    const auto at_25 = battery.rested_voltage(left);
    out.calculation.push_back(fmt::format("full on {}; {} left after self-discharge and {} of load", print.date(*full),
                                          print.percent(left),
                                          print.show(battery.load, Type::number(dimension::current))));
    if (at_25) {
      out.calculation.push_back(
          fmt::format("{:.3f} V rested at 25 °C + {} V/K x ({:.1f} °C - 25 °C) = {:.3f} V, for six cells", *at_25,
                      volt_per_kelvin, acid->celsius, *at_25 + volt_per_kelvin * (acid->celsius - 25)));
    }
    out.assumed.push_back(fmt::format("temperature of the acid: {}", whose(acid->own)));
  }
  const Expectation answer = expected(around, index_of(BatteryQuantity::voltage), instant, false);
  if (answer.known()) return;
  if (!acid && held_ && held_->at == instant) {
    out.calculation.push_back(
        fmt::format("worked out with the temperature of {}, which is no longer kept", print.date(instant)));
  } else {
    out.missing.emplace_back(answer.unknown_because);
  }
}

void LeadAcidBatteryModel::explain_charge(const Surroundings& around, const Battery& battery, Explanation& out) const {
  const BatteryPrinter print{{around}};
  assume(around, battery, out);
  if (counts(around)) return explain_count(around, battery, out);
  const auto charge = charge_now(around, battery);
  if (!charge) {
    out.missing.emplace_back("a rested voltage or a hydrometer reading of the last 7 days");
    if (!battery.capacity && around.has_source(index_of(BatteryQuantity::current))) {
      out.missing.emplace_back("capacity: without it its current is not counted");
    }
    return;
  }
  if (held_as_told(around)) {
    out.calculation.push_back(fmt::format("full, as told: charged; {} ago, and no rest was judged since",
                                          print.duration(around.now() - held_->at)));
    return;
  }
  if (held_->by_hydrometer()) {
    out.calculation.push_back(
        fmt::format("6 x ({:.3f} by a hydrometer + 0.845) = {:.3f} V rested at 25 °C", held_->gravity, held_->voltage));
  }
  out.calculation.push_back(fmt::format("{:.3f} V rested at 25 °C (six cells) by the table of {}: {}", held_->voltage,
                                        battery.table.empty() ? "its chemistry" : "voltage_table",
                                        print.percent(*charge)));
  const bool of_hours = !held_->by_hand && !held_->by_hydrometer();
  out.calculation.push_back(fmt::format("{}, {} old",
                                        of_hours         ? "median of the rested hours of a day"
                                        : held_->by_hand ? "by hand"
                                                         : "by a sensor",
                                        print.duration(to_seconds(around.now() - held_->at))));
  if (held_->by_hand && !held_->by_hydrometer())
    out.assumed.emplace_back("the battery rested when it was read by hand");
}

// The ones that follow from the charge begin with it; why it is unknown stands with them.
void LeadAcidBatteryModel::explain_charge_time(const Surroundings& around, const Battery& battery,
                                               Explanation& out) const {
  const auto charge = charge_now(around, battery);
  const auto current = around.parameter(index_of(BatteryParameter::charger_current));
  if (!charge || !battery.capacity || !current) return;
  const double capacity = *battery.capacity / 3600;  // Ah
  const double efficiency = charging_efficiency(battery.chemistry);
  const auto part = [&](double from, double to, double amperes) {
    if (!(to > from) || !(amperes > battery.load)) return;
    out.calculation.push_back(fmt::format("{:.1f} Ah x ({:.0f} % - {:.0f} %) / {} / ({:.2f} A - {:.2f} A) = {:.1f} h",
                                          capacity, 100 * to, 100 * from, efficiency, amperes, battery.load,
                                          capacity * (to - from) / efficiency / (amperes - battery.load)));
  };
  if (*current <= 0.1 * capacity) return part(*charge, 1, *current);
  part(*charge, 0.8, *current);
  part(std::max(*charge, 0.8), 1, 0.4 * *current);
  out.assumed.emplace_back("above 80 % it takes 0.4 of the charger's current");
}

void LeadAcidBatteryModel::explain_cranking(const Surroundings& around, const Battery& battery,
                                            Explanation& out) const {
  const BatteryPrinter print{{around}};
  const auto charge = charge_now(around, battery);
  const auto acid = acid_temperature(around, around.now());
  if (!charge || !acid || acid->celsius < -30) return;
  const double share = cranking_share(acid->celsius);
  out.calculation.push_back(fmt::format("{} charged x {:.2f} (what the cold leaves at {}) = {}", print.percent(*charge),
                                        share, print.temperature(acid->celsius), print.percent(*charge * share)));
  out.assumed.push_back(fmt::format("temperature of the acid: {}", whose(acid->own)));
}

void LeadAcidBatteryModel::explain_losses(const Surroundings& around, const Battery& battery, Explanation& out) const {
  const BatteryPrinter print{{around}};
  assume(around, battery, out);
  const auto acid = acid_temperature(around, around.now());
  if (acid) {
    const auto rate = lead_acid_self_discharge(Temperature(acid->celsius), battery.chemistry);
    if (rate) {
      out.calculation.push_back(
          fmt::format("self-discharge at {}: {}", print.temperature(acid->celsius), print.rate(rate->value)));
    }
    out.assumed.push_back(fmt::format("temperature of the acid: {}", whose(acid->own)));
  }
  if (battery.capacity && battery.load > 0) {
    out.calculation.push_back(fmt::format("load {} of {}: {}",
                                          print.show(battery.load, Type::number(dimension::current)),
                                          print.show(*battery.capacity, Type::number(dimension::charge), Shown::charge),
                                          print.rate(battery.load_per_second())));
  }
  if (line_) {
    out.calculation.push_back(fmt::format("measured: {} {} from {} to {}, loss {} ± {}", line_->count,
                                          line_by_hand_ ? "hand readings" : "daily values", print.date(line_->first),
                                          print.date(line_->last), print.rate(-line_->slope),
                                          print.rate(2 * line_->standard_error)));
  }
}

void LeadAcidBatteryModel::explain_charger(const Surroundings& around, const Battery& battery, Explanation& out) const {
  if (const auto voltage = hours_.now_voltage()) {
    out.calculation.push_back(
        fmt::format("{:.2f} V (six cells, ten minutes); a working charger shows 13.2 V or more", *voltage));
  }
  if (const auto slope = hours_.slope(around.now() - 4 * one_hour)) {
    out.calculation.push_back(fmt::format("slope over the last hours {:+.1f} mV/h", *slope * 3600 * 1000));
  } else if (const auto of_days = hours_.slope(around.now() - 2 * one_day)) {
    out.calculation.push_back(fmt::format("slope over the last two days {:+.2f} mV/h", *of_days * 3600 * 1000));
  }
  if (!around.measured(index_of(BatteryQuantity::shore_power)).known) out.missing.emplace_back("shore_power");
  if (!around.has_source(index_of(BatteryQuantity::shore_power))) return;
  if (around.measured(index_of(BatteryQuantity::voltage)).by_hand) {
    out.missing.emplace_back("a sensor of its voltage: single readings do not tell whether the charger works");
  }
  if (!around.assumed(index_of(BatteryParameter::charger_sleeps_until))) return;
  const double until =
      charger_sleeps_until(around, battery, last_acid_ ? std::optional(last_acid_->value) : std::nullopt);
  std::string assumed = fmt::format("a charger that sleeps until {:.2f} V", battery.from_block(until));
  if (until < usually_sleeps_until) {
    assumed += fmt::format(": {:.2f} V (default) for a battery at 25 °C, less {:.1f} mV/K x (25 °C - {:.1f} °C)",
                           battery.from_block(usually_sleeps_until), battery.from_block(volt_per_kelvin) * 1000,
                           last_acid_->value);
  } else {
    assumed += " (default)";
  }
  out.assumed.push_back(std::move(assumed));
}

}  // namespace overwinter
