// The kind `lead_acid_battery`: its names, ranges and defaults.
#include <array>
#include <memory>
#include <utility>

#include "rules/gear/kinds.h"
#include "rules/gear/lead_acid_battery_model.h"

namespace overwinter {
namespace {

constexpr std::array<std::string_view, 4> chemistry_words{"flooded", "flooded_calcium", "agm", "gel"};
constexpr std::array<std::string_view, 8> charger_words{"no_power", "too_early",  "charging",    "failed",
                                                        "waiting",  "not_rising", "overvoltage", "unknown"};

QuantitySpec measured(std::string_view name, Type type, std::string_view text, double plus_minus, double minimum,
                      double maximum) {
  QuantitySpec spec{name, type, Shown::by_dimension, true, text};
  spec.plus_minus = plus_minus;
  spec.minimum = minimum;
  spec.maximum = maximum;
  return spec;
}

QuantitySpec computed(std::string_view name, Type type, Shown shown, std::string_view text,
                      std::vector<std::string_view> rests_on) {
  QuantitySpec spec{name, type, shown, false, text};
  spec.rests_on = std::move(rests_on);
  return spec;
}

std::vector<QuantitySpec> measured_quantities() {
  const Type number = Type::share();
  // 0.5 % of a meter at 12 V (trade practice: half a percent or better): 0.06 V, k = 2.
  QuantitySpec voltage = measured("voltage", Type::number(dimension::voltage), "At the terminals.", 0.06, 0, 20);
  voltage.has_expected = true;
  voltage.in_proportion_to = "cells";
  voltage.needs = {"temperature", "charged.date"};
  QuantitySpec gravity = measured("specific_gravity", number, "By a hydrometer, at 25 degC.", 0.01, 1.0, 1.35);
  gravity.shown = Shown::plain;
  QuantitySpec temperature = measured("temperature", Type::temperature(),
                                      "Of the battery; without a sensor its place's, 6 h behind.", 2, -60, 80);
  temperature.otherwise = "assumed_temperature";
  return {
      voltage,
      temperature,
      measured("current", Type::number(dimension::current), "Into the battery; negative: out of it.", 0.1, -1000, 1000),
      measured("shore_power", Type::boolean(), "Whether what feeds its charger is on.", 0, 0, 1),
      gravity,
  };
}

std::vector<QuantitySpec> quantities() {
  const Type share = Type::share();
  const Type rate = Type::number(dimension::rate);
  const Shown usual = Shown::by_dimension;
  std::vector<QuantitySpec> all = measured_quantities();
  const auto add = [&all](std::string_view name, Type type, Shown shown, std::string_view text,
                          std::vector<std::string_view> medians, std::vector<std::string_view> rests_on = {}) {
    all.push_back(computed(name, type, shown, text, std::move(rests_on)));
    all.back().rests_on_medians_of = std::move(medians);
  };
  add("at_rest", Type::boolean(), usual, "Nothing charges or loads it, for six hours.", {"voltage"});
  add("state_of_charge", share, Shown::percent,
      "By its rested voltage or a hydrometer, whichever is newer, held for 7 days; at work counted from there by a "
      "sensor of its current.",
      {"voltage", "specific_gravity"});
  all.back().needs_one_of = {"temperature", "specific_gravity"};
  add("estimated_specific_gravity", share, Shown::plain, "Of the acid at 25 degC, by its rested voltage.",
      {"voltage", "specific_gravity"});
  add("electrolyte_freezing_point", Type::temperature(), usual, "Where its acid begins to freeze.",
      {"voltage", "specific_gravity"});
  add("freezing_margin", Type::number(dimension::temperature), usual,
      "The coldest of the last day, and since the last rest (eight days at most), above the acid's freezing point.",
      {"voltage", "specific_gravity"}, {"temperature"});
  add("self_discharge_rate", rate, usual, "At its present temperature, of what is left.", {"temperature"});
  add("standing_loss", rate, usual, "Loss of charge while standing, from the trend.", {"voltage"});
  add("time_until_recharge", Type::duration(), usual, "Until its charge is down to recharge_below.",
      {"voltage", "specific_gravity"});
  add("charge_time", Type::duration(), usual, "To charge it full with charger.current.",
      {"voltage", "specific_gravity"});
  all.back().needs = {"capacity", "charger.current"};
  add("charging", Type::boolean(), usual, "It is being charged.", {}, {"voltage", "current"});
  add("charger_verdict", Type::word(charger_words), usual, "Whether its charger works.", {}, {"voltage"});
  add("cranking_capacity", share, Shown::percent, "What it gives to a starter, of a full warm battery.",
      {"voltage", "specific_gravity"});
  add("assumed_temperature", Type::temperature(), usual,
      "What is taken for it now: its own, else its place's, 6 h behind.", {}, {"temperature"});
  all.back().needs = {"temperature"};
  return all;
}

std::vector<ParameterSpec> parameters() {
  const Type current = Type::number(dimension::current);
  const Type voltage = Type::number(dimension::voltage);
  const Shown usual = Shown::by_dimension;
  ParameterSpec table{"voltage_table", voltage, usual,
                      "The maker's rested voltages at 25 degC, and the charge at each."};
  table.form = ParameterSpec::Form::table;
  ParameterSpec cells{"cells", Type::share(), Shown::plain, "In series, of 2 V each.", 6, 1, 12};
  cells.whole = true;
  ParameterSpec load{"parasitic_load", current, usual, "What stays connected: detectors, memories.", 0, 0, 100};
  load.needs_one_of = {"capacity"};
  ParameterSpec charger{"charger.current", current, usual, "What its charger can give.", {}, 0, 500};
  charger.needs_one_of = {"capacity"};
  ParameterSpec sleeps{"charger.sleeps_until", voltage, usual, "Above it a charger may rest (common practice).",
                       usually_sleeps_until,   0,       32};
  sleeps.needs_one_of = {"shore_power"};
  return {
      {"chemistry", Type::word(chemistry_words), usual, "flooded means antimony grids.", 0},
      {"capacity", Type::number(dimension::charge), Shown::charge, "Nominal, at 25 degC.", {}, 3600, 3.6e7},
      cells,
      load,
      charger,
      sleeps,
      {"charged.date", Type::instant(), usual, "When it was fully charged."},
      {"recharge_below", Type::share(), Shown::percent, "Charge at which to recharge it; 75 % is 12.45 V rested.", 0.75,
       0.05, 95 * 0.01},  // as the text 95 % is read
      table,
  };
}

std::unique_ptr<Model> make() { return std::make_unique<LeadAcidBatteryModel>(); }

}  // namespace

const KindSpec& lead_acid_battery_kind() {
  static const KindSpec kind{
      "lead_acid_battery",
      "A starting or house battery of lead and acid.",
      quantities(),
      parameters(),
      {{"charged", {}, "charged.date", "charged"}},
      {{InputSpec::Whose::place, "temperature"}},
      make,
      {"Harned and Hamer (1935): voltage and temperature of the cell (from memory)",
       "Linden, Crompton, Bode: battery handbooks: specific gravity from the voltage (from memory)",
       "US Army TM 5-1185, table III: freezing point of the electrolyte",
       "IEC 60896: capacity in the cold (from memory)",
       "Sen, J. Am. Stat. Assoc. 63 (1968) 1379: the trends of resting and of standing loss"}};
  return kind;
}

}  // namespace overwinter
