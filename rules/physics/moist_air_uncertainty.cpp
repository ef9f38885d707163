#include "rules/physics/moist_air_uncertainty.h"

#include <cmath>

namespace overwinter {
namespace {

// Uncertainty of e = rh e_w(t) over e_w(t), so that dry air needs no division: the temperature's part
// is `slope` (1/K) rh u(t), the humidity's u(rh).
double over_saturation(double slope, Share rh, TemperatureStep u_t, Share u_rh) {
  return std::hypot(slope * rh.value * u_t.value, u_rh.value);
}

bool negative(TemperatureStep u_t, Share u_rh) { return !(u_t.value >= 0 && u_rh.value >= 0); }

constexpr const char* negative_uncertainty = "an uncertainty is negative";

}  // namespace

PressureDifference vapor_pressure_uncertainty(const MoistAir& air, TemperatureStep u_t, Share u_rh) {
  return PressureDifference(air.saturated.pressure.value * over_saturation(air.saturated.slope, air.rh, u_t, u_rh));
}

Outcome<PressureDifference> vapor_pressure_uncertainty(Temperature t, Share rh, TemperatureStep u_t, Share u_rh) {
  if (negative(u_t, u_rh)) return no_value(negative_uncertainty);
  const auto air = moist_air(t, rh);
  if (!air) return tl::unexpected(air.error());
  return vapor_pressure_uncertainty(*air, u_t, u_rh);
}

Outcome<TemperatureStep> dew_point_uncertainty(Temperature t, Share rh, TemperatureStep u_t, Share u_rh) {
  if (negative(u_t, u_rh)) return no_value(negative_uncertainty);
  const auto dew = dew_point(t, rh);
  if (!dew) return tl::unexpected(dew.error());
  const double relative = over_saturation(*saturation_slope(t), rh, u_t, u_rh) / rh.value;
  return TemperatureStep(relative / *saturation_slope(*dew));
}

Outcome<TemperatureStep> frost_point_uncertainty(Temperature t, Share rh, TemperatureStep u_t, Share u_rh) {
  if (negative(u_t, u_rh)) return no_value(negative_uncertainty);
  const auto frost = frost_point(t, rh);
  if (!frost) return tl::unexpected(frost.error());
  const double relative = over_saturation(*saturation_slope(t), rh, u_t, u_rh) / rh.value;
  const auto slope = saturation_slope_over_ice(*frost);
  if (!slope) return tl::unexpected(slope.error());
  return TemperatureStep(relative / *slope);
}

Density absolute_humidity_uncertainty(const MoistAir& air, TemperatureStep u_t, Share u_rh) {
  const double slope = air.saturated.slope - 1 / air.t.kelvin();  // warmer air also expands
  const double saturated = air.saturated.pressure.value / (vapor_gas_constant * air.t.kelvin());
  return Density(saturated * over_saturation(slope, air.rh, u_t, u_rh));
}

Outcome<Density> absolute_humidity_uncertainty(Temperature t, Share rh, TemperatureStep u_t, Share u_rh) {
  if (negative(u_t, u_rh)) return no_value(negative_uncertainty);
  const auto air = moist_air(t, rh);
  if (!air) return tl::unexpected(air.error());
  return absolute_humidity_uncertainty(*air, u_t, u_rh);
}

PressureDifference vapor_pressure_deficit_uncertainty(const MoistAir& air, TemperatureStep u_t, Share u_rh) {
  const double by_temperature = (1 - air.rh.value) * air.saturated.slope * u_t.value;
  return PressureDifference(air.saturated.pressure.value * std::hypot(by_temperature, u_rh.value));
}

}  // namespace overwinter
