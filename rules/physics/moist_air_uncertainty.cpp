#include "rules/physics/moist_air_uncertainty.h"

#include <cmath>

#include "rules/physics/moist_air.h"

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

Outcome<PressureDifference> vapor_pressure_uncertainty(Temperature t, Share rh, TemperatureStep u_t, Share u_rh) {
  if (negative(u_t, u_rh)) return no_value(negative_uncertainty);
  const auto e = vapor_pressure(t, rh);
  if (!e) return tl::unexpected(e.error());
  return PressureDifference(saturation_pressure(t)->value * over_saturation(*saturation_slope(t), rh, u_t, u_rh));
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

Outcome<Density> absolute_humidity_uncertainty(Temperature t, Share rh, TemperatureStep u_t, Share u_rh) {
  if (negative(u_t, u_rh)) return no_value(negative_uncertainty);
  const auto e = vapor_pressure(t, rh);
  if (!e) return tl::unexpected(e.error());
  const double slope = *saturation_slope(t) - 1 / t.kelvin();  // warmer air also expands
  const double saturated = saturation_pressure(t)->value / (vapor_gas_constant * t.kelvin());
  return Density(saturated * over_saturation(slope, rh, u_t, u_rh));
}

}  // namespace overwinter
