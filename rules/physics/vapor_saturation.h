// Saturation of water vapor over liquid water (also supercooled) and over ice, both ways round:
// pressure at a temperature, temperature at a pressure.
//
// Source: D. M. Murphy and T. Koop, "Review of the vapour pressures of ice and supercooled water
// for atmospheric applications", Q. J. R. Meteorol. Soc. 131 (2005) 1539-1565, eq. 7 (ice) and
// eq. 10 (water). Chosen because its liquid branch was made for below 0 degC, where a humidity
// sensor keeps reading over water. Accuracy against IAPWS-95 and IAPWS R14-08(2011): 0.009 % over
// water at 0.01..50 degC, 0.031 % over ice at -50..0 degC. One sigma taken here: 0.03 %.
//
// Pressures are those of pure vapor: the enhancement factor of moist air (0.4..0.5 % near sea level,
// WMO-No. 8, from memory) is left out.
#pragma once

#include "rules/physics/outcome.h"
#include "rules/quantity/strong.h"

namespace overwinter {

inline constexpr Temperature triple_point_of_water{0.01};  // ITS-90 and IAPWS R14-08(2011): 273.16 K

// Saturation vapor pressure over liquid water, Pa. Murphy & Koop 2005, eq. 10, range 123..332 K
// (-150.15..58.85 degC, both exclusive); one sigma 0.03 %.
Outcome<AbsolutePressure> saturation_pressure(Temperature t);

// Pressure and relative slope (below) over liquid water, both by one evaluation of eq. 10.
struct SaturatedVapor {
  AbsolutePressure pressure;
  double slope = 0;  // 1/K
};
Outcome<SaturatedVapor> saturated_vapor(Temperature t);

// Saturation vapor pressure over ice, Pa. Murphy & Koop 2005, eq. 7, above 110 K (-163.15 degC) up to
// the triple point, 0.01 degC; one sigma 0.03 %.
Outcome<AbsolutePressure> saturation_pressure_over_ice(Temperature t);

// Relative slope of the saturation pressure, d ln(e)/dT in 1/K: the exact derivatives of eq. 10 and
// eq. 7, in the same ranges. About 0.065 /K at 20 degC and 0.082 /K over ice at 0 degC.
Outcome<double> saturation_slope(Temperature t);
Outcome<double> saturation_slope_over_ice(Temperature t);

// The temperature at which vapor of pressure e is saturated over liquid water. Eq. 10 inverted by
// Newton's method to better than 1e-6 K. Range: answers of -100..58.85 degC; one sigma of the
// formula 0.005 K.
Outcome<Temperature> dew_point_at(AbsolutePressure vapor);

// The temperature at which vapor of pressure e is saturated over ice. Eq. 7 inverted to better than
// 1e-6 K. Range: answers of -100..0.01 degC, which is vapor up to 611.66 Pa; one sigma 0.004 K.
Outcome<Temperature> frost_point_at(AbsolutePressure vapor);

}  // namespace overwinter
