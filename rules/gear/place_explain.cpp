// How a place's figures come about, in lines that a person can check.
#include <fmt/format.h>

#include <array>
#include <chrono>
#include <cmath>

#include "rules/gear/explanation_printer.h"
#include "rules/gear/place_model.h"
#include "rules/physics/moist_air.h"

namespace overwinter {
namespace {

using Whose = Surroundings::Whose;

struct PlacePrinter : ExplanationPrinter {
  using ExplanationPrinter::temperature;

  std::string temperature(const Reckoned& r) const {
    return print_with_uncertainty(r.value, r.plus_minus, Type::temperature(), Shown::by_dimension,
                                  around.display_units());
  }
  // Of vapor, beside its pascals.
  std::string pressure(const Reckoned& r) const {
    return print_with_uncertainty(r.value, r.plus_minus, Type::number(dimension::pressure), Shown::by_dimension,
                                  around.display_units());
  }
};

constexpr std::array<std::string_view, 4> mold_classes{"very sensitive", "sensitive", "medium resistant", "resistant"};

PlaceAir air_at(const Surroundings& around, Instant instant) {
  return reckon_air(around.at(Whose::own, index_of(PlaceQuantity::temperature), instant),
                    around.at(Whose::own, index_of(PlaceQuantity::humidity), instant), humidity_over(around));
}

// The chain from the readings to the dew and frost point.
void explain_air(const Surroundings& around, Instant instant, Explanation& out) {
  const PlaceAir air = air_at(around, instant);
  if (!air.known()) {
    out.missing.emplace_back(air.unknown_because);
    return;
  }
  const PlacePrinter print{{around}};
  const double saturated = air.humidity > 0 ? air.vapor_pressure.value / air.humidity : 0;
  out.calculation.push_back(fmt::format("air at {} holds {:.1f} Pa of vapor when saturated over water",
                                        print.temperature(air.temperature), saturated));
  out.calculation.push_back(fmt::format("{:.1f} % x {:.1f} Pa = {:.1f} Pa, that is {}", 100 * air.humidity, saturated,
                                        air.vapor_pressure.value, print.pressure(air.vapor_pressure)));
  if (air.dew_point) {
    out.calculation.push_back(
        fmt::format("saturated over water at that pressure: {} (dew point)", print.temperature(*air.dew_point)));
  }
  if (air.frost_point) {
    out.calculation.push_back(
        fmt::format("saturated over ice at that pressure: {} (frost point)", print.temperature(*air.frost_point)));
  }
  if (humidity_over(around) == HumidityOver::ice) {
    out.assumed.emplace_back("below freezing the sensor's humidity is over ice (humidity_over)");
  }
}

// What follows from the vapor pressure, whose own calculation stands before.
void explain_vapor(const Surroundings& around, PlaceQuantity quantity, Instant instant, Explanation& out) {
  const PlaceAir air = air_at(around, instant);
  if (!air.known()) {
    out.missing.emplace_back(air.unknown_because);
    return;
  }
  const double vapor = air.vapor_pressure.value;
  if (quantity == PlaceQuantity::absolute_humidity) {
    out.calculation.push_back(fmt::format("{:.1f} Pa / ({} J/(kg K) x {:.1f} K) = {:.2f} g/m³ (ideal gas)", vapor,
                                          vapor_gas_constant, Temperature(air.temperature).kelvin(),
                                          1000 * air.absolute_humidity.value));
  } else if (air.humidity > 0) {
    const double saturated = vapor / air.humidity;
    out.calculation.push_back(fmt::format("{:.1f} Pa - {:.1f} Pa = {:.1f} Pa", saturated, vapor, saturated - vapor));
  }
}

void explain_skin(const Surroundings& around, Explanation& out) {
  const PlacePrinter print{{around}};
  const Measured inside = around.measured(index_of(PlaceQuantity::temperature));
  const OutdoorAir outdoors = present_outdoors(around);
  const char* no_inside = why_not_now(inside, around.now(), no_temperature);
  if (no_inside != nullptr) out.missing.emplace_back(no_inside);
  if (!outdoors.temperature.known) out.missing.emplace_back(no_outdoor_temperature);
  if (no_inside != nullptr || !outdoors.temperature.known) return;
  const double factor = temperature_factor(around);
  const Reckoned skin = skin_temperature(inside, outdoors.temperature, factor);
  out.calculation.push_back(fmt::format(
      "{} outdoors + {:.2f} x {} between inside and outdoors = {}", print.temperature(outdoors.temperature.value),
      factor, print.difference(inside.value - outdoors.temperature.value), print.temperature(skin.value)));
  const bool given = around.parameter(index_of(PlaceParameter::temperature_factor)).has_value();
  if (!given && around.assumed(index_of(PlaceParameter::surface))) {
    out.assumed.emplace_back("surface: single glass (default)");
  }
}

void explain_thaw(const Surroundings& around, Explanation& out) {
  const PlacePrinter print{{around}};
  const Measured inside = around.measured(index_of(PlaceQuantity::temperature));
  const Span lag = mass_lag(around);
  const Sample mass = around.lagged_at(Whose::own, index_of(PlaceQuantity::temperature), lag, around.now());
  const char* no_inside = why_not_now(inside, around.now(), no_temperature);
  if (no_inside != nullptr || !mass.known) {
    out.missing.emplace_back(no_inside != nullptr ? no_inside : no_temperature);
    return;
  }
  out.calculation.push_back(fmt::format("cold mass: {}, the air's temperature (now {}) behind a lag of {}",
                                        print.temperature(mass.value), print.temperature(inside.value),
                                        print.duration(lag)));
  if (around.assumed(index_of(PlaceParameter::mass_lag))) {
    out.assumed.push_back(fmt::format("mass_lag: {} (default)", print.duration(lag)));
  }
  const auto damper = damper_of(air_of_now(around, humidity_over(around)), present_outdoors(around));
  if (!damper) {
    out.missing.emplace_back("temperature and humidity, inside or outdoors");
    return;
  }
  const auto limit = limit_point(mass.value, damper->vapor_pressure.value, damper->dew_point, damper->frost_point);
  if (!limit) return;
  const bool frost = damper->frost_point && limit->value == damper->frost_point->value;
  out.calculation.push_back(fmt::format("damper air: {}, {:.0f} Pa of vapor, {} {}",
                                        damper->is_outdoors ? "outdoors" : "inside", damper->vapor_pressure.value,
                                        frost ? "frost point" : "dew point", print.temperature(limit->value)));
  out.calculation.push_back(fmt::format("{} - {} = {}", print.temperature(mass.value), print.temperature(limit->value),
                                        print.difference(mass.value - limit->value)));
}

void explain_excess(const Surroundings& around, Explanation& out) {
  const PlaceAir inside = air_of_now(around, humidity_over(around));
  const OutdoorAir outdoors = present_outdoors(around);
  if (!inside.known()) out.missing.emplace_back(inside.unknown_because);
  if (!outdoors.vapor_pressure) out.missing.emplace_back(no_outdoor_humidity);
  const auto excess = vapor_excess(inside, outdoors);
  if (!excess) return;
  out.calculation.push_back(fmt::format("{:.0f} Pa inside - {:.0f} Pa outdoors = {:.0f} Pa, that is {}",
                                        inside.vapor_pressure.value, outdoors.vapor_pressure->value, excess->value,
                                        PlacePrinter{{around}}.pressure(*excess)));
}

}  // namespace

void PlaceModel::explain_expected(const Surroundings& around, Instant instant, Explanation& out) const {
  const PlacePrinter print{{around}};
  const Expectation answer = expected(around, index_of(PlaceQuantity::temperature), instant, false);
  if (!answer.known()) {
    out.missing.emplace_back(answer.unknown_because);
    return;
  }
  const char* because = nullptr;
  const auto c = course(around, instant, because);
  const auto lag = time_constant(room_.model());
  if (!c || !lag) return;
  out.calculation.push_back(
      fmt::format("closed, it follows the outdoors with a time constant of {}, learned from {} hours",
                  print.show(lag->value, Type::duration()), room_.model().hours));
  out.calculation.push_back(fmt::format("it should have been {} at the full hour, with {} outdoors",
                                        print.temperature(c->at_hour), print.temperature(c->outside)));
  const double drawn = -std::expm1(c->part_of_hour * std::log1p(-room_.model().exchange));
  const double sun = c->value - c->at_hour - drawn * (c->outside - c->at_hour);
  out.calculation.push_back(fmt::format(
      "{} + {:.3f} x {}{} = {}", print.temperature(c->at_hour), drawn, print.difference(c->outside - c->at_hour),
      sun > 0 ? fmt::format(" + {} of sun", print.difference(sun)) : "", print.temperature(c->value)));
  if (!c->sun) out.assumed.emplace_back("no sun (no irradiance is measured): by day it may be warmer");
}

void PlaceModel::explain_mold(const Surroundings& around, Explanation& out) const {
  const auto kind = static_cast<std::size_t>(mold_class(around));
  out.calculation.push_back(fmt::format(
      "VTT model, {} surface, hour by hour since the records began: index {:.2f}; the last {} hours are kept for the "
      "outlook",
      mold_classes[kind], mold_.index(), mold_.hours()));
  if (around.assumed(index_of(PlaceParameter::mold_class))) out.assumed.emplace_back("mold_class: sensitive (default)");
  if (mold_.hours() == 0) out.missing.emplace_back("a full hour of temperature and humidity");
}

void PlaceModel::explain_heating(const Surroundings& around, Instant, Explanation& out) const {
  const PlacePrinter print{{around}};
  if (!is_heated(around)) {
    out.missing.emplace_back("the place is not heated");
    return;
  }
  const Measured inside = around.measured(index_of(PlaceQuantity::temperature));
  const OutdoorAir outdoors = present_outdoors(around);
  const auto set = around.parameter(index_of(PlaceParameter::set_temperature));
  if (!set) out.missing.emplace_back("set_temperature: not given");
  if (!inside.known) out.missing.emplace_back(no_temperature);
  if (set && inside.known) {
    out.calculation.push_back(
        fmt::format("it is {} and set to {}", print.temperature(inside.value), print.temperature(*set)));
  }
  if (!outdoors.temperature.known) {
    out.missing.emplace_back(no_outdoor_temperature);
    return;
  }
  const Span lag = heating_.time_constant();
  if (heating_.time_constant_is_assumed()) {
    out.assumed.push_back(fmt::format("it cools with a time constant of {}", print.duration(lag)));
  }
  if (inside.known && inside.value > 0 && outdoors.temperature.value < 0) {
    out.calculation.push_back(
        fmt::format("{:.1f} h x ln(({:.1f} - {:.1f}) / (0 - {:.1f})) = {:.1f} h, in degC", to_seconds(lag) / 3600,
                    inside.value, outdoors.temperature.value, outdoors.temperature.value,
                    to_seconds(lag) / 3600 * std::log(1 - inside.value / outdoors.temperature.value)));
  }
}

void PlaceModel::explain(const Surroundings& around, std::uint8_t quantity, Instant instant, Explanation& out) const {
  using enum PlaceQuantity;
  if (quantity >= place_quantity_count) return;
  switch (static_cast<PlaceQuantity>(quantity)) {
    case temperature:
      return explain_expected(around, instant, out);
    case dew_point:
    case frost_point:
    case vapor_pressure:
      return explain_air(around, instant, out);
    case absolute_humidity:
    case vapor_pressure_deficit:
      return explain_vapor(around, static_cast<PlaceQuantity>(quantity), instant, out);
    case condensation_margin:
      explain_air(around, around.now(), out);
      return explain_skin(around, out);
    case surface_temperature:
      return explain_skin(around, out);
    case cold_mass_temperature:
    case thaw_margin:
      return explain_thaw(around, out);
    case thaw_wetting:
      explain_thaw(around, out);
      if (!out.missing.empty()) return;
      out.calculation.push_back(
          fmt::format("so {:.1f} g/m² an hour {}; {:.0f} g/m² are on it at present", 3.6e6 * std::abs(thaw_.rate()),
                      thaw_.rate() < 0 ? "can dry off it" : "settle on it", 1000 * thaw_.wetting()));
      return;
    case mold_index:
    case mold_index_ahead:
      return explain_mold(around, out);
    case airing_helps: {
      explain_excess(around, out);
      const OutdoorAir outdoors = present_outdoors(around);
      const PlaceAir inside = air_of_now(around, humidity_over(around));
      const auto air_it = airing(overwinter::vapor_excess(inside, outdoors), outdoors, coldest_surface_);
      if (air_it && air_it->why_not != nullptr) out.calculation.emplace_back(air_it->why_not);
      if (air_it && air_it->helps && outdoors.temperature.value < -10) {
        out.calculation.emplace_back("below -10 degC air takes little away: no hurry");
      }
      return;
    }
    case vapor_excess:
    case wet_source_suspected:
      return explain_excess(around, out);
    case time_until_freezing:
    case heating_failed:
      return explain_heating(around, instant, out);
    case door_suspected_open:
      return explain_expected(around, instant, out);
    case humidity:
    case station_pressure:
    case sea_level_pressure:
    case irradiance:
    case snow_depth:
    case rainfall:
    case door_open:
      return;
  }
}

}  // namespace overwinter
