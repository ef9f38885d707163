// The kind `tire`: its names, ranges and defaults.
#include <array>
#include <memory>
#include <utility>

#include "rules/gear/kinds.h"
#include "rules/gear/tire_model.h"
#include "rules/physics/tire_pressure.h"

namespace overwinter {
namespace {

constexpr std::array<std::string_view, 6> verdict_words{"fine", "cold", "leaking", "sudden_loss", "low", "unknown"};
constexpr std::array<std::string_view, 3> reads_words{"vented", "sealed", "absolute"};
constexpr std::array<std::string_view, 3> gas_words{"dry_nitrogen", "dry_air", "moist_air"};

QuantitySpec computed(std::string_view name, Type type, Shown shown, std::string_view text,
                      std::vector<std::string_view> rests_on) {
  QuantitySpec spec{name, type, shown, false, text};
  spec.rests_on = std::move(rests_on);
  return spec;
}

std::vector<QuantitySpec> quantities() {
  // A tire sensor or a household gauge is good to 1 or 1.5 psi, stated as a limit (common practice, no source): 2 psi,
  // k = 2. A flat tire on a sealed sensor reads the air of the site less 101.325 kPa: -26.6 kPa at 2500 m (ISO 2533),
  // -51.3 kPa in the thinnest air that a place may tell, 50 kPa.
  QuantitySpec pressure{"pressure", Type::gauge(), Shown::tire_pressure, true, "Gauge pressure of the tire."};
  pressure.plus_minus = 2 * pascals_per_psi;
  pressure.minimum = -52e3;
  pressure.maximum = 1000e3;
  pressure.has_expected = true;
  pressure.needs = {"temperature", "filled.pressure"};
  QuantitySpec temperature{"temperature", Type::temperature(), Shown::by_dimension, true,
                           "Temperature of the air in the tire; without a sensor its place's, 1.5 h behind."};
  temperature.plus_minus = 2;  // twice the one sigma of 1 K that the expected pressure takes for an own sensor
  temperature.otherwise = "assumed_temperature";
  temperature.minimum = -60;
  temperature.maximum = 90;
  QuantitySpec verdict = computed("verdict", Type::word(verdict_words), Shown::by_dimension,
                                  "Is it only cold, or does it lose air.", {"pressure", "temperature"});
  verdict.confirmed = {static_cast<double>(TireVerdict::leaking), static_cast<double>(TireVerdict::sudden_loss)};
  QuantitySpec normalized =
      computed("normalized_pressure", Type::gauge(), Shown::tire_pressure,
               "What it would read at 20 degC and one standard atmosphere.", {"pressure", "temperature"});
  normalized.needs = {"temperature"};
  QuantitySpec assumed =
      computed("assumed_temperature", Type::temperature(), Shown::by_dimension,
               "What is taken for it now: its own, else its place's, 1.5 h behind.", {"temperature"});
  assumed.needs = {"temperature"};
  QuantitySpec until_minimum = computed(
      "time_until_minimum", Type::duration(), Shown::by_dimension,
      "Until its normalized_pressure is down to minimum_pressure at its present loss.", {"pressure", "temperature"});
  until_minimum.needs = {"temperature", "minimum_pressure"};
  QuantitySpec to_set =
      computed("pressure_to_set", Type::gauge(), Shown::tire_pressure,
               "What to set at the present temperature so that it has cold_pressure at 20 degC; never above "
               "maximum_pressure, and none after a sudden loss.",
               {"temperature"});
  to_set.needs = {"cold_pressure"};
  return {
      pressure,
      temperature,
      normalized,
      computed("leak_rate", Type::number(dimension::pressure_rate), Shown::tire_pressure,
               "Loss of normalized pressure beyond seepage, from the trend; positive is loss.", {"pressure"}),
      until_minimum,
      verdict,
      computed("age", Type::duration(), Shown::by_dimension, "Since the week of its date code.", {}),
      computed("standing_time", Type::duration(), Shown::by_dimension, "Since it was moved last, or since lay-up.", {}),
      to_set,
      computed("temperature_at_reading", Type::temperature(), Shown::by_dimension,
               "Of the air in it when its pressure was read: its own sensor's, else its place's, 1.5 h behind.",
               {"pressure", "temperature"}),
      assumed,
      computed("gauge_pressure", Type::gauge(), Shown::tire_pressure,
               "What a true gauge at the valve showed at the reading: of a sealed sensor brought from its reference to "
               "the outside pressure, else the reading itself.",
               {"pressure"}),
  };
}

ParameterSpec pressure(std::string_view name, std::string_view text) {
  return {name, Type::gauge(), Shown::tire_pressure, text, {}, 0, highest_fill.value};
}

std::vector<ParameterSpec> parameters() {
  ParameterSpec filled = pressure("filled.pressure", "What the gauge read at the last fill.");
  filled.minimum = nearly_flat.value;  // softer is no fill: a slip of the pen
  filled.maximum = 950e3;              // also as an absolute pressure
  ParameterSpec maximum = pressure("maximum_pressure", "The sidewall's, cold.");
  maximum.not_below = "minimum_pressure";
  return {
      filled,
      {"filled.temperature",
       Type::temperature(),
       Shown::by_dimension,
       "Of the tire at the fill; without it its place's at that time.",
       {},
       -40,
       60},
      {"filled.date", Type::instant(), Shown::by_dimension, "When it was filled; without it at lay-up."},
      {"filled.station_pressure",
       Type::absolute(),
       Shown::by_dimension,
       "Of the outside air at the fill, not reduced to sea level; without it as measured, or the standard one.",
       {},
       50e3,
       110e3},
      {"filled.reads", Type::word(reads_words), Shown::by_dimension, "What the gauge at the fill reads against.", 0},
      pressure("cold_pressure", "What the owner runs, cold; held to maximum_pressure."),
      pressure("minimum_pressure", "Below it, at 20 degC, the tire shall not stand."),
      maximum,
      {"date_code", Type::code(), Shown::by_dimension, "The last four digits of the tire identification number."},
      {"moved.date", Type::instant(), Shown::by_dimension, "When it was rolled last."},
      {"fill_gas", Type::word(gas_words), Shown::by_dimension, "What it was filled with.", 2},
  };
}

std::vector<ActSpec> acts() {
  return {
      {"filled",
       {{"pressure", "filled.pressure", true}, {"temperature", "filled.temperature", false}},
       "filled.date",
       "filled",
       {"filled.station_pressure", "filled.reads"}},
      {"moved", {}, "moved.date", "moved"},
      {"valve_checked", {}, "", "valve checked"},
  };
}

std::vector<std::string_view> sources() {
  return {
      "ideal gas law at constant volume; the belted carcass stretches by less than 0.5 % (common practice, no source)",
      "ISO 2533, standard atmosphere: 20 degC and 101.325 kPa of the normalized pressure are ours",
      "Pressure Loss Mechanisms in Pneumatic Tires, Tire Science and Technology 13 (1985): seepage",
      "Sen, J. Am. Stat. Assoc. 63 (1968) 1379: the trend of a leak", "49 CFR 574.5: the date code"};
}

std::unique_ptr<Model> make() { return std::make_unique<TireModel>(); }

}  // namespace

const KindSpec& tire_kind() {
  static const KindSpec kind{"tire", "A tire that stands through the winter.",   quantities(), parameters(),
                             acts(), {{InputSpec::Whose::place, "temperature"}}, make,         sources()};
  return kind;
}

}  // namespace overwinter
