// The kind `place` as a table. Usual sensors (k = 2): a consumer hygrometer is good to about 0.3 K and 3 % at one
// sigma, a barometer to 1 hPa, a pyranometer to 10 W/m2, an ultrasonic or laser snow gauge to 1 cm, a tipping bucket to
// one tip (common practice, no source). Plausible ranges span rooms and outdoors: a closed camper in the summer sun
// passes 60 degC; records of the WMO archive are -89.2..56.7 degC and 870..1085 hPa (from memory).
#include "rules/gear/place.h"

#include <array>
#include <string_view>

#include "rules/gear/place_model.h"

namespace overwinter {
namespace {

constexpr std::array<std::string_view, 2> over_words{"water", "ice"};
constexpr std::array<std::string_view, 4> mold_words{"very_sensitive", "sensitive", "medium_resistant", "resistant"};
constexpr std::array<std::string_view, 3> surface_words{"bare_metal", "single_glass", "insulated"};

const Type temperature_step = Type::number(dimension::temperature);
const Type pressure_step = Type::number(dimension::pressure);

std::vector<QuantitySpec> measured_quantities() {
  return {
      {.name = "temperature",
       .type = Type::temperature(),
       .measured = true,
       .text = "Temperature of the air.",
       .plus_minus = 0.6,
       .minimum = -50,
       .maximum = 85,
       .outdoors = Range{-60, 60},
       .has_expected = true,
       .needs = {"outdoors.temperature"}},
      {.name = "humidity",
       .type = Type::share(),
       .shown = Shown::percent,
       .measured = true,
       .text = "Relative humidity of the air, as the sensor reports it; 100 to 105 % counts as 100 %.",
       .plus_minus = 0.06,
       .minimum = 0,
       .maximum = 1.05},
      {.name = "station_pressure",
       .type = Type::absolute(),
       .measured = true,
       .text = "Pressure of the air as it is at the site, not reduced to sea level.",
       .plus_minus = 200,
       .minimum = 50e3,
       .maximum = 108e3},
      {.name = "sea_level_pressure",
       .type = Type::absolute(),
       .measured = true,
       .text = "Pressure of the air reduced to sea level, as weather services give it.",
       .plus_minus = 200,
       .minimum = 85e3,
       .maximum = 110e3},
      {.name = "irradiance",
       .type = Type::number(dimension::irradiance),
       .measured = true,
       .text = "Sun on a horizontal surface.",
       .plus_minus = 20,
       .minimum = -20,
       .maximum = 1500},
      {.name = "snow_depth",
       .type = Type::number(dimension::length),
       .measured = true,
       .text = "Depth of snow on the ground or the roof.",
       .plus_minus = 0.02,
       .minimum = 0,
       .maximum = 5},
      {.name = "rainfall",
       .type = Type::number(dimension::length),
       .measured = true,
       .text = "Rain of the last hour, as depth of water.",
       .plus_minus = 0.0005,
       .minimum = 0,
       .maximum = 0.5},
      {.name = "door_open", .type = Type::boolean(), .measured = true, .text = "Whether a door or window is open."},
  };
}

void add_air(std::vector<QuantitySpec>& to) {
  const std::vector<std::string_view> air{"temperature", "humidity"};
  to.push_back({.name = "dew_point",
                .type = Type::temperature(),
                .text = "Where the vapor would be saturated over liquid water, also below freezing.",
                .rests_on = air});
  to.push_back({.name = "frost_point",
                .type = Type::temperature(),
                .text = "Where the vapor would be saturated over ice; none for vapor above 611.7 Pa.",
                .rests_on = air});
  to.push_back({.name = "vapor_pressure",
                .type = Type::absolute(),
                .text = "Pressure of the water vapor in the air.",
                .rests_on = air});
  to.push_back({.name = "absolute_humidity",
                .type = Type::number(dimension::density),
                .text = "Mass of water vapor in a volume of air.",
                .rests_on = air});
  to.push_back({.name = "vapor_pressure_deficit",
                .type = pressure_step,
                .text = "What the air could still take up: saturation over water less the vapor pressure.",
                .rests_on = air});
}

void add_surfaces(std::vector<QuantitySpec>& to) {
  const std::vector<std::string_view> air{"temperature", "humidity"};
  to.push_back({.name = "surface_temperature",
                .type = Type::temperature(),
                .text = "Inside of the surface named by the parameter, between the air of the place and outdoors.",
                .rests_on = {"temperature"}});
  to.push_back({.name = "condensation_margin",
                .type = temperature_step,
                .text = "Surface temperature above the dew or frost point of the air inside; negative: wet.",
                .rests_on = air});
  to.push_back({.name = "cold_mass_temperature",
                .type = Type::temperature(),
                .text = "Furniture, batteries, frames: the air's temperature behind a lag of mass_lag.",
                .rests_on = {"temperature"}});
  to.push_back(
      {.name = "thaw_margin",
       .type = temperature_step,
       .text = "Cold mass above the dew or frost point of the damper of inside and outdoor air; negative: wet.",
       .rests_on = air});
  to.push_back({.name = "thaw_wetting",
                .type = Type::number(dimension::mass_per_area),
                .text = "Water on the cold mass: what settled less what dried off since; zero once the thaw margin has "
                        "been above 2 K for 6 h.",
                .rests_on = air});
  to.push_back({.name = "mold_index",
                .type = Type::share(),
                .shown = Shown::plain,
                .text = "VTT mold index of a surface in the air of the place, 0 none to 6 dense, 3 visible.",
                .rests_on = air});
  to.push_back({.name = "mold_index_ahead",
                .type = Type::share(),
                .shown = Shown::plain,
                .text = "Mold index in 30 days if the last week's conditions go on.",
                .rests_on = air});
}

void add_moisture_and_heat(std::vector<QuantitySpec>& to) {
  const std::vector<std::string_view> air{"temperature", "humidity"};
  to.push_back({.name = "vapor_excess",
                .type = pressure_step,
                .text = "Vapor pressure above that of the air outdoors.",
                .rests_on = air});
  to.push_back({.name = "airing_helps",
                .type = Type::boolean(),
                .text = "Whether opening up now would dry the place and wet no surface.",
                .rests_on = air});
  to.push_back({.name = "wet_source_suspected",
                .type = Type::boolean(),
                .text = "Damper than the outdoors explains for a day and a half or more: a leak, water left inside.",
                .rests_on = air});
  to.push_back({.name = "time_until_freezing",
                .type = Type::duration(),
                .text = "Until the air of a heated place would be at 0 degC if the heating stopped now.",
                .rests_on = {"temperature"}});
  to.push_back({.name = "heating_failed",
                .type = Type::boolean(),
                .text = "2 K or more below set_temperature for 30 min and not warming as under heat; where readings "
                        "are hours apart, two of them 4 K below.",
                .rests_on = {"temperature"},
                .needs = {"set_temperature"}});
  to.push_back({.name = "door_suspected_open",
                .type = Type::boolean(),
                .text = "Follows the outdoors at night as an open place does, not as the closed one was learned to, "
                        "even in a storm.",
                .rests_on = {"temperature"}});
}

std::vector<ParameterSpec> place_parameters() {
  return {
      {.name = "heated", .type = Type::boolean(), .text = "Whether it is kept warm over the winter.", .otherwise = 0},
      {.name = "set_temperature",
       .type = Type::temperature(),
       .text = "What its thermostat is set to.",
       .minimum = -20,
       .maximum = 40},
      {.name = "humidity_over",
       .type = Type::word(over_words),
       .text = "What its humidity refers to below freezing: water, as sensors and meteorology have it, or ice.",
       .otherwise = static_cast<double>(HumidityOver::water)},
      {.name = "mold_class",
       .type = Type::word(mold_words),
       .text =
           "How readily its surfaces mold: plywood and upholstery sensitive, vinyl medium_resistant, metal resistant.",
       .otherwise = 1},
      {.name = "surface",
       .type = Type::word(surface_words),
       .text = "Its coldest surface: bare_metal 0.24, single_glass 0.25, insulated 0.75 as temperature factor.",
       .otherwise = static_cast<double>(PlaceSurface::single_glass)},
      {.name = "temperature_factor",
       .type = Type::share(),
       .shown = Shown::plain,
       .text = "f_Rsi of its coldest surface (ISO 13788), instead of `surface`.",
       .minimum = 0,
       .maximum = 1},
      {.name = "mass_lag",
       .type = Type::duration(),
       .text = "Time constant of furniture and gear behind the air: furniture 3 to 8 h, a large battery 6 to 24 h.",
       .otherwise = to_seconds(6 * one_hour),
       .minimum = to_seconds(one_minute),
       .maximum = to_seconds(10 * one_day)},
      {.name = "volume",
       .type = Type::number(dimension::volume),
       .text = "Volume of its air; nothing rests on it yet.",
       .minimum = 0.1,
       .maximum = 1e5},
  };
}

KindSpec make_kind() {
  KindSpec kind;
  kind.name = "place";
  kind.sources = {"Murphy and Koop, Q. J. R. Meteorol. Soc. 131 (2005) 1539: vapor over water and ice",
                  "ASHRAE Handbook Fundamentals 2017, chapter 1: moist air",
                  "ISO 13788:2012: temperature of inside surfaces",
                  ("Hukka and Viitanen, Wood Sci. Technol. 33 (1999) 475; Ojanen et al., Thermal Performance of the "
                   "Exterior Envelopes XI (2010): mold"),
                  "JCGM 100:2008, 5.1.2: propagation of uncertainty"};
  kind.text = "The air of a camper, a garage, a shed, or outdoors.";
  kind.quantities = measured_quantities();
  add_air(kind.quantities);
  add_surfaces(kind.quantities);
  add_moisture_and_heat(kind.quantities);
  kind.parameters = place_parameters();
  using enum InputSpec::Whose;
  kind.inputs = {{outdoors, "temperature"},
                 {outdoors, "humidity"},
                 {outdoors, "irradiance"},
                 {outdoors, "vapor_pressure"},
                 {outdoors, "rainfall"}};
  kind.make_model = [] { return std::unique_ptr<Model>(std::make_unique<PlaceModel>()); };
  return kind;
}

}  // namespace

const KindSpec& place_kind() {
  static const KindSpec kind = make_kind();
  return kind;
}

}  // namespace overwinter
