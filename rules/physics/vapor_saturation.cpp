#include "rules/physics/vapor_saturation.h"

#include <algorithm>
#include <cmath>

namespace overwinter {
namespace {

// ln of the pressure in Pa, and its derivative by temperature, 1/K.
struct LogPressure {
  double ln;
  double slope;
};

// Murphy & Koop 2005, eq. 10.
LogPressure over_water(double kelvin) {
  const double ln_t = std::log(kelvin);
  const double cold = 54.842763 - 6763.22 / kelvin - 4.210 * ln_t + 0.000367 * kelvin;
  const double cold_slope = 6763.22 / (kelvin * kelvin) - 4.210 / kelvin + 0.000367;
  const double warm = 53.878 - 1331.22 / kelvin - 9.44523 * ln_t + 0.014025 * kelvin;
  const double warm_slope = 1331.22 / (kelvin * kelvin) - 9.44523 / kelvin + 0.014025;
  // tanh(0.0415 (T - 218.8)), by one exp: half the cost.
  const double blend = 1 - 2 / (std::exp(0.083 * (kelvin - 218.8)) + 1);
  const double blend_slope = 0.0415 * (1 - blend * blend);
  return {cold + blend * warm, cold_slope + blend * warm_slope + blend_slope * warm};
}

// Murphy & Koop 2005, eq. 7.
double slope_over_ice(double kelvin) { return 5723.265 / (kelvin * kelvin) + 3.53068 / kelvin - 0.00728332; }
LogPressure over_ice(double kelvin) {
  return {9.550426 - 5723.265 / kelvin + 3.53068 * std::log(kelvin) - 0.00728332 * kelvin, slope_over_ice(kelvin)};
}

// Written so that NaN is outside.
bool water_range(double kelvin) { return kelvin > 123 && kelvin < 332; }
bool ice_range(Temperature t) { return t.kelvin() > 110 && t <= triple_point_of_water; }

constexpr const char* outside_water_range =
    "the saturation pressure over water is known from -150 to 58.8 degC, and the temperature is outside";
constexpr const char* outside_ice_range =
    "the saturation pressure over ice is known from -163 to 0.01 degC, and the temperature is outside";

// Solves curve(T) = ln(e) by Newton's method in 1/T, in which ln(e) is nearly a straight line: from a
// start 0.1 K off, the second step is already below 1e-6 K.
template <class Curve>
double saturated_at(double ln_e, double start_kelvin, Curve curve) {
  double kelvin = start_kelvin;
  for (int step = 0; step < 12; ++step) {
    const LogPressure here = curve(kelvin);
    const double before = kelvin;
    kelvin /= 1 + (here.ln - ln_e) / (kelvin * here.slope);
    if (std::abs(kelvin - before) < 1e-6) break;
  }
  return kelvin;
}

// Start values: Magnus form of WMO-No. 8 (Guide to Instruments and Methods of Observation), annex
// 4.B, after Sonntag 1990; e = 611.2 Pa exp(a t/(b + t)), inverted.
double magnus_kelvin(double ln_e, double a, double b) {
  const double ratio = ln_e - 6.415424;  // ln(611.2)
  return 273.15 + b * ratio / (a - ratio);
}

// Saturation over water and over ice at -100 degC, Pa.
constexpr double driest_over_water = 0.0030537;
constexpr double driest_over_ice = 0.0014062;

}  // namespace

Outcome<AbsolutePressure> saturation_pressure(Temperature t) {
  if (!water_range(t.kelvin())) return no_value(outside_water_range);
  return AbsolutePressure(std::exp(over_water(t.kelvin()).ln));
}

Outcome<SaturatedVapor> saturated_vapor(Temperature t) {
  if (!water_range(t.kelvin())) return no_value(outside_water_range);
  const LogPressure here = over_water(t.kelvin());
  return SaturatedVapor{AbsolutePressure(std::exp(here.ln)), here.slope};
}

Outcome<AbsolutePressure> saturation_pressure_over_ice(Temperature t) {
  if (!ice_range(t)) return no_value(outside_ice_range);
  return AbsolutePressure(std::exp(over_ice(t.kelvin()).ln));
}

Outcome<double> saturation_slope(Temperature t) {
  if (!water_range(t.kelvin())) return no_value(outside_water_range);
  return over_water(t.kelvin()).slope;
}

Outcome<double> saturation_slope_over_ice(Temperature t) {
  if (!ice_range(t)) return no_value(outside_ice_range);
  return slope_over_ice(t.kelvin());
}

Outcome<Temperature> dew_point_at(AbsolutePressure vapor) {
  if (!(vapor.value >= driest_over_water)) return no_value("the air is too dry: its dew point is below -100 degC");
  if (!(vapor.value < 2e4)) return no_value("the vapor is too dense: its dew point is above 58.8 degC");
  const double ln_e = std::log(vapor.value);
  const double kelvin = saturated_at(ln_e, magnus_kelvin(ln_e, 17.62, 243.12), over_water);
  if (!water_range(kelvin)) return no_value("the vapor is too dense: its dew point is above 58.8 degC");
  return Temperature::from_kelvin(kelvin);
}

Outcome<Temperature> frost_point_at(AbsolutePressure vapor) {
  if (!(vapor.value >= driest_over_ice)) return no_value("the air is too dry: its frost point is below -100 degC");
  static const double ln_triple_point = over_ice(triple_point_of_water.kelvin()).ln;
  const double ln_e = std::log(vapor.value);
  if (!(ln_e <= ln_triple_point)) {
    return no_value("no frost point above the triple point: the air holds more than 611.7 Pa of vapor");
  }
  const double kelvin = saturated_at(ln_e, magnus_kelvin(ln_e, 22.46, 272.62), over_ice);
  return std::min(Temperature::from_kelvin(kelvin), triple_point_of_water);  // the iteration's last digit
}

}  // namespace overwinter
