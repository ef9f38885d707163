#include "rules/physics/moist_air.h"

#include <algorithm>
#include <cmath>

#include "rules/physics/humidity_range.h"

namespace overwinter {
namespace {

constexpr double mass_ratio = 0.621945;  // water to dry air, ASHRAE 2017 ch. 1

double ratio_of(double vapor, AbsolutePressure p) { return mass_ratio * vapor / (p.value - vapor); }

// Saturated humidity ratio at the wet bulb; t below 58.8 degC was checked by the caller.
double saturated_ratio(double celsius, AbsolutePressure p) {
  const Temperature t(celsius);
  const auto e = celsius < 0 ? saturation_pressure_over_ice(t) : saturation_pressure(t);
  return ratio_of(e->value, p);
}

// The humidity ratio of air at t whose wet bulb is `wet`, by ASHRAE 2017 ch. 1 eq. 33 and 35.
double ratio_over_water(double t, double wet, AbsolutePressure p) {
  return ((2501 - 2.326 * wet) * saturated_ratio(wet, p) - 1.006 * (t - wet)) / (2501 + 1.86 * t - 4.186 * wet);
}
double ratio_over_ice(double t, double wet, AbsolutePressure p) {
  return ((2830 - 0.24 * wet) * saturated_ratio(wet, p) - 1.006 * (t - wet)) / (2830 + 1.86 * t - 2.1 * wet);
}

// Bisection for ratio(wet) = target, ratio rising, to 1e-6 K.
template <class Ratio>
double solve(double low, double high, double target, Ratio ratio) {
  while (high - low > 1e-6) {
    const double middle = (low + high) / 2;
    (ratio(middle) < target ? low : high) = middle;
  }
  return (low + high) / 2;
}

}  // namespace

Outcome<MoistAir> moist_air(Temperature t, Share rh) {
  if (!humidity_in_range(rh)) return no_value(humidity_outside);
  const auto saturated = saturated_vapor(t);
  if (!saturated) return tl::unexpected(saturated.error());
  return MoistAir{t, rh, *saturated};
}

Outcome<AbsolutePressure> vapor_pressure(Temperature t, Share rh) {
  const auto air = moist_air(t, rh);
  if (!air) return tl::unexpected(air.error());
  return air->vapor_pressure();
}

Outcome<Temperature> dew_point(Temperature t, Share rh) {
  const auto e = vapor_pressure(t, rh);
  if (!e) return tl::unexpected(e.error());
  const auto dew = dew_point_at(*e);
  if (!dew) return dew;
  return std::min(*dew, t);  // saturated air: the iteration's last digit must not pass t
}

Outcome<Temperature> frost_point(Temperature t, Share rh) {
  const auto e = vapor_pressure(t, rh);
  if (!e) return tl::unexpected(e.error());
  return frost_point_at(*e);
}

Outcome<Density> absolute_humidity(Temperature t, Share rh) {
  const auto air = moist_air(t, rh);
  if (!air) return tl::unexpected(air.error());
  return air->absolute_humidity();
}

Outcome<Share> humidity_ratio(Temperature t, Share rh, AbsolutePressure p) {
  const auto e = vapor_pressure(t, rh);
  if (!e) return tl::unexpected(e.error());
  if (!(p.value >= 2e4 && p.value <= 2e5)) return no_value("the air pressure is outside 20..200 kPa");
  if (e->value >= p.value) return no_value("the vapor pressure is not below the air pressure");
  return Share(ratio_of(e->value, p));
}

Outcome<PressureDifference> vapor_pressure_deficit(Temperature t, Share rh) {
  const auto air = moist_air(t, rh);
  if (!air) return tl::unexpected(air.error());
  return air->vapor_pressure_deficit();
}

Outcome<SpecificEnthalpy> enthalpy(Temperature t, Share rh, AbsolutePressure p) {
  const auto ratio = humidity_ratio(t, rh, p);
  if (!ratio) return tl::unexpected(ratio.error());
  return SpecificEnthalpy(1000 * (1.006 * t.celsius() + ratio->value * (2501 + 1.86 * t.celsius())));
}

Outcome<Temperature> wet_bulb(Temperature t, Share rh, AbsolutePressure p) {
  if (!(t >= Temperature(-80))) return no_value("the wet bulb is known from -80 degC up, and the air is colder");
  const auto ratio = humidity_ratio(t, rh, p);
  if (!ratio) return tl::unexpected(ratio.error());
  const double dry = t.celsius();
  const auto wick_wet = [dry, p](double wet) { return ratio_over_water(dry, wet, p); };
  const auto wick_iced = [dry, p](double wet) { return ratio_over_ice(dry, wet, p); };
  if (saturated_ratio(dry, p) >= 0.62) return no_value("the air is too hot for its pressure: water would nearly boil");

  if (dry >= 0 && ratio->value >= wick_wet(0)) return Temperature(solve(0, dry, ratio->value, wick_wet));
  if (dry < 0 && ratio->value > saturated_ratio(dry, p)) {
    return no_value("no wet bulb: the air is more than saturated over ice");
  }
  return Temperature(solve(-100, std::min(dry, 0.0), ratio->value, wick_iced));
}

Outcome<Share> humidity_over_water(Temperature t, Share rh_over_ice) {
  const auto water = saturation_pressure(t);
  if (!water) return tl::unexpected(water.error());
  double rh = rh_over_ice.value;
  if (t <= triple_point_of_water) rh *= saturation_pressure_over_ice(t)->value / water->value;
  if (!humidity_in_range(Share(rh))) return no_value(humidity_outside);
  return Share(rh);
}

Outcome<AbsolutePressure> standard_pressure(Length altitude) {
  if (!(altitude.value >= -5000 && altitude.value <= 11000)) {
    return no_value("the altitude is outside -5000..11000 m of the standard atmosphere");
  }
  return AbsolutePressure(standard_atmosphere.value * std::pow(1 - 2.25577e-5 * altitude.value, 5.2559));
}

Outcome<AbsolutePressure> station_pressure_from_sea_level(AbsolutePressure sea_level, Length altitude) {
  if (!(sea_level.value >= 8.5e4 && sea_level.value <= 1.1e5)) {
    return no_value("the sea-level pressure is outside 850..1100 hPa");
  }
  const auto standard = standard_pressure(altitude);
  if (!standard) return standard;
  return AbsolutePressure(sea_level.value * standard->value / standard_atmosphere.value);
}

}  // namespace overwinter
