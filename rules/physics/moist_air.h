// State of moist air from temperature, relative humidity and pressure.
//
// Relative humidity is over liquid water at every temperature, also below freezing: the convention of
// meteorology (WMO-No. 8 ch. 4 and WMO-No. 49, from memory; AMS Glossary of Meteorology, "relative
// humidity") and what polymer sensors indicate. Humidity arguments are 0..1; outside there is no
// value, so a caller who accepts 105 % from a sensor limits it first. Saturation pressures:
// vapor_saturation.h, in whose range (-150..58.8 degC) every temperature here must lie.
//
// One-sigma figures below are those of the formulas only; what the sensors add, far more, is in
// moist_air_uncertainty.h.
#pragma once

#include "rules/physics/outcome.h"
#include "rules/physics/vapor_saturation.h"
#include "rules/quantity/strong.h"

namespace overwinter {

// R/M with R = 8.314462618 J/(mol K) (CODATA 2018) and M = 18.015268 g/mol (IAPWS): J/(kg K).
inline constexpr double vapor_gas_constant = 461.523;

// Air with its saturation, worked out once for all that is asked of the same air: as the functions of these names
// below.
struct MoistAir {
  Temperature t;
  Share rh;
  SaturatedVapor saturated;  // over water, at t

  AbsolutePressure vapor_pressure() const { return AbsolutePressure(rh.value * saturated.pressure.value); }
  Density absolute_humidity() const { return Density(vapor_pressure().value / (vapor_gas_constant * t.kelvin())); }
  PressureDifference vapor_pressure_deficit() const {
    return PressureDifference((1 - rh.value) * saturated.pressure.value);
  }
};
Outcome<MoistAir> moist_air(Temperature t, Share rh);

// Vapor pressure, Pa: rh e_w(t). One sigma 0.03 %.
Outcome<AbsolutePressure> vapor_pressure(Temperature t, Share rh);

// Dew point, degC: where the vapor would be saturated over liquid water, also below 0 degC. Never
// above t. Answers of -100 degC and up; one sigma 0.005 K.
Outcome<Temperature> dew_point(Temperature t, Share rh);

// Frost point, degC: where the vapor would be saturated over ice. It lies above the dew point, by
// 0.9 K at -5 degC and 1.4 K at -10 degC (80 %), and above t where the air is more than saturated over
// ice. There is none for vapor beyond 611.66 Pa (triple point). One sigma 0.005 K.
Outcome<Temperature> frost_point(Temperature t, Share rh);

// Absolute humidity, kg of vapor per m3: e/(R_w T), ideal gas. One sigma 0.1 % (0.5 % low near sea
// level for want of the enhancement factor).
Outcome<Density> absolute_humidity(Temperature t, Share rh);

// Humidity ratio, kg of vapor per kg of dry air: 0.621945 e/(p - e). ASHRAE Handbook Fundamentals
// 2017 ch. 1 eq. 20. p 20..200 kPa and above the vapor pressure; one sigma 0.1 %.
Outcome<Share> humidity_ratio(Temperature t, Share rh, AbsolutePressure p);

// Vapor pressure deficit, Pa: e_w(t) - e. One sigma 0.03 % of e_w.
Outcome<PressureDifference> vapor_pressure_deficit(Temperature t, Share rh);

// Enthalpy per mass of dry air, J/kg, zero at 0 degC and dry: 1.006 t + W (2501 + 1.86 t) kJ/kg.
// ASHRAE 2017 ch. 1 eq. 30. One sigma 0.1 kJ/kg (estimate).
Outcome<SpecificEnthalpy> enthalpy(Temperature t, Share rh, AbsolutePressure p);

// Thermodynamic wet-bulb temperature, degC, over water at and above 0 degC (ASHRAE 2017 ch. 1
// eq. 33), over ice below (eq. 35). t -80..58.8 degC. None where the air is more than saturated over
// ice. Where both equations have a solution (a narrow band at 0 degC) the wick is taken as wet.
// Solved to 1e-6 K; one sigma 0.02 K (estimate).
Outcome<Temperature> wet_bulb(Temperature t, Share rh, AbsolutePressure p);

// Humidity over water, from a source that reports over ice below freezing (ASHRAE convention; some
// weather files): rh e_i/e_w. Above 0.01 degC such a source reports over water, and the reading comes
// back unchanged. None where the answer exceeds 1. One sigma 0.05 % of the answer.
Outcome<Share> humidity_over_water(Temperature t, Share rh_over_ice);

// Pressure of the standard atmosphere at an altitude, Pa: 101325 (1 - 2.25577e-5 z)^5.2559, ASHRAE
// 2017 ch. 1 eq. 3, after the US Standard Atmosphere 1976 (ISO 2533). z -5000..11000 m. One sigma of
// the real pressure about it 1 kPa (estimate: weather).
Outcome<AbsolutePressure> standard_pressure(Length altitude);

// Station pressure from a sea-level pressure as weather services give it, Pa: reduced in the
// proportion of the standard atmosphere (estimate). p_msl 85..110 kPa (WMO records: 870..1085 hPa).
// Reads 0.04 % high per 100 m of altitude and 10 K that the air is colder than standard; one sigma
// 0.1 % per 100 m.
Outcome<AbsolutePressure> station_pressure_from_sea_level(AbsolutePressure sea_level, Length altitude);

}  // namespace overwinter
