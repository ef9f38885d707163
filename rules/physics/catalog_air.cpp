#include <cmath>

#include "rules/physics/calcium_chloride.h"
#include "rules/physics/catalog_row.h"
#include "rules/physics/moist_air.h"
#include "rules/physics/mold.h"
#include "rules/physics/snow.h"
#include "rules/physics/still_water.h"
#include "rules/physics/surface_condensation.h"

namespace overwinter::catalog {
namespace {

constexpr std::string_view mold_classes[] = {"very_sensitive", "sensitive", "medium_resistant", "resistant"};
constexpr std::string_view snow_classes[] = {"alpine", "maritime", "prairie", "tundra", "taiga"};

constexpr Type pressure_difference = Type::number(dimension::pressure);
constexpr Type length = Type::number(dimension::length);
constexpr Type mold_class = Type::word(mold_classes);

constexpr FunctionParameter rh{"rh", share, Shown::percent};
constexpr FunctionParameter p{"p", absolute_pressure};

constexpr std::string_view murphy_koop = "Murphy and Koop, Q. J. R. Meteorol. Soc. 131 (2005) 1539";
constexpr std::string_view hukka_viitanen =
    "Hukka and Viitanen, Wood Sci. Technol. 33 (1999) 475; classes of Ojanen et al., Thermal Performance of the "
    "Exterior Envelopes XI (2010)";
constexpr std::string_view conde = "Conde, Int. J. Thermal Sci. 43 (2004) 367";

CallAnswer density_of_snow(const double* values) {
  const double day = values[1];
  if (day != std::floor(day) || std::abs(day) > 366) {
    return {0, "the day of the season is a whole number of days since 1 January, -92..181"};
  }
  return answer(snow_density(Length(values[0]), static_cast<int>(day), argument<SnowClass>(values[2])));
}

constexpr Function air_rows[] = {
    row("saturation_pressure", {t}, absolute_pressure, Shown::by_dimension, calls<saturation_pressure>,
        "-150..58.8 degC", "Murphy and Koop, Q. J. R. Meteorol. Soc. 131 (2005) 1539, eq. 10"),
    row("saturation_pressure_over_ice", {t}, absolute_pressure, Shown::by_dimension,
        calls<saturation_pressure_over_ice>, "-163..0.01 degC",
        "Murphy and Koop, Q. J. R. Meteorol. Soc. 131 (2005) 1539, eq. 7"),
    row("vapor_pressure", {t, rh}, absolute_pressure, Shown::by_dimension, calls<vapor_pressure>,
        "-150..58.8 degC, 0..100 % over water", murphy_koop),
    row("dew_point", {t, rh}, temperature, Shown::by_dimension, calls<dew_point>,
        "-150..58.8 degC, up to 100 % over water; answers from -100 degC", murphy_koop),
    row("frost_point", {t, rh}, temperature, Shown::by_dimension, calls<frost_point>,
        "vapor up to 611.66 Pa (triple point of water); answers from -100 degC", murphy_koop),
    row("absolute_humidity", {t, rh}, density, Shown::by_dimension, calls<absolute_humidity>,
        "-150..58.8 degC, 0..100 % over water", "ideal gas, vapor 461.523 J/(kg K): CODATA 2018, IAPWS"),
    row("humidity_ratio", {t, rh, p}, share, Shown::plain, calls<humidity_ratio>, "20..200 kPa",
        "ASHRAE Handbook Fundamentals 2017, chapter 1, eq. 20"),
    row("vapor_pressure_deficit", {t, rh}, pressure_difference, Shown::by_dimension, calls<vapor_pressure_deficit>,
        "-150..58.8 degC, 0..100 % over water", murphy_koop),
    row("enthalpy", {t, rh, p}, Type::number(dimension::specific_energy), Shown::by_dimension, calls<enthalpy>,
        "20..200 kPa; per mass of dry air", "ASHRAE Handbook Fundamentals 2017, chapter 1, eq. 30"),
    row("wet_bulb", {t, rh, p}, temperature, Shown::by_dimension, calls<wet_bulb>,
        "-80..58.8 degC, 20..200 kPa, not above saturation over ice",
        "ASHRAE Handbook Fundamentals 2017, chapter 1, eq. 33 and 35"),
    row("standard_pressure", {{"altitude", length}}, absolute_pressure, Shown::by_dimension, calls<standard_pressure>,
        "-5000..11000 m", "ASHRAE Handbook Fundamentals 2017, chapter 1, eq. 3; US Standard Atmosphere 1976, ISO 2533"),
    row("surface_temperature", {{"inside", temperature}, {"outside", temperature}, {"factor", share}}, temperature,
        Shown::by_dimension, calls<surface_temperature>, "factor 0..1", "ISO 13788:2012, temperature factor"),
    row("mold_critical_humidity", {t, {"class", mold_class}}, share, Shown::percent, calls<mold_critical_humidity>,
        "between 0 and 50 degC", hukka_viitanen),
    row("mold_time_to_visible", {t, rh, {"class", mold_class}}, duration, Shown::by_dimension,
        calls<mold_time_to_visible>, "between 0 and 50 degC, above the critical humidity; from index 0 to 3",
        hukka_viitanen),
    row("deliquescence_humidity", {t}, share, Shown::percent, calls<deliquescence_humidity>, "-40..58.8 degC", conde),
    row("brine_water_activity", {{"fraction", share, Shown::percent}, t}, share, Shown::plain,
        calls<brine_water_activity>, "-40..100 degC; 0, or 0.01..0.6 of anhydrous CaCl2 by mass", conde),
    row("absorber_rate_factor", {t, rh}, share, Shown::plain, calls<absorber_rate_factor>,
        "-40..58.8 degC, 0..100 %; 1 at 20 degC and 80 %", conde),
    row("pipe_freezing_time",
        {{"inner_diameter", length}, {"wall", length}, {"t_start", temperature}, {"t_air", temperature}}, duration,
        Shown::by_dimension, calls<pipe_freezing_time>, "inner diameter 1 mm..1 m; start 0..100 degC, air -100..0 degC",
        "ASHRAE Handbook Fundamentals 2009, chapter 23, eq. 1; Plank 1913"),
    row("snow_density", {{"depth", length}, {"day_of_season", share}, {"class", Type::word(snow_classes)}}, density,
        Shown::by_dimension, density_of_snow, "0..5 m; whole days since 1 January, -92..181",
        "Sturm et al., J. Hydrometeorol. 11 (2010) 1380, eq. 6 and table 4"),
    row("snow_load", {{"depth", length}, {"density", density}}, pressure_difference, Shown::by_dimension,
        calls<snow_load>, "0..5 m, 0..917 kg/m3", "density times depth times 9.80665 m/s2"),
};

}  // namespace

FunctionTable air_functions() { return air_rows; }

}  // namespace overwinter::catalog
