#include "rules/physics/moist_air_uncertainty.h"

#include "rules/physics/in_quadrature.h"

namespace overwinter {
namespace {

// Uncertainty of e = rh e_w(t) over e_w(t), so that dry air needs no division: the temperature's part
// is `slope` (1/K) rh u(t), the humidity's u(rh).
double over_saturation(double slope, Share rh, TemperatureStep u_t, Share u_rh) {
  return in_quadrature(slope * rh.value * u_t.value, u_rh.value);
}

}  // namespace

PressureDifference vapor_pressure_uncertainty(const MoistAir& air, TemperatureStep u_t, Share u_rh) {
  return PressureDifference(air.saturated.pressure.value * over_saturation(air.saturated.slope, air.rh, u_t, u_rh));
}

Density absolute_humidity_uncertainty(const MoistAir& air, TemperatureStep u_t, Share u_rh) {
  const double slope = air.saturated.slope - 1 / air.t.kelvin();  // warmer air also expands
  const double saturated = air.saturated.pressure.value / (vapor_gas_constant * air.t.kelvin());
  return Density(saturated * over_saturation(slope, air.rh, u_t, u_rh));
}

PressureDifference vapor_pressure_deficit_uncertainty(const MoistAir& air, TemperatureStep u_t, Share u_rh) {
  const double by_temperature = (1 - air.rh.value) * air.saturated.slope * u_t.value;
  return PressureDifference(air.saturated.pressure.value * in_quadrature(by_temperature, u_rh.value));
}

}  // namespace overwinter
