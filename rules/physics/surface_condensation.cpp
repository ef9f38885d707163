#include "rules/physics/surface_condensation.h"

#include <cmath>

namespace overwinter {
namespace {

constexpr double dry_air_gas_constant = 287.042;  // J/(kg K), ASHRAE Fundamentals 2017 ch. 1
constexpr double heat_capacity_of_air = 1006;     // J/(kg K), as in its eq. 30
constexpr double lewis_factor = 0.9;              // Le^(2/3) of vapor in air, from memory

}  // namespace

Outcome<Temperature> surface_temperature(Temperature inside, Temperature outside, Share factor) {
  if (!(factor.value >= 0 && factor.value <= 1)) return no_value("the temperature factor is outside 0..1");
  const Temperature surface = outside + (inside - outside) * factor.value;
  if (!std::isfinite(surface.value)) return no_value("a temperature is not a finite number");
  return surface;
}

Outcome<MassFlux> deposit_flux(const MoistAir& air, Temperature surface, AbsolutePressure p,
                               HeatTransferCoefficient film) {
  if (!(p.value >= 2e4 && p.value <= 2e5)) return no_value("the air pressure is outside 20..200 kPa");
  if (!(film.value >= 0)) return no_value("the heat transfer coefficient is negative");
  const auto saturation =
      surface < Temperature(0) ? saturation_pressure_over_ice(surface) : saturation_pressure(surface);
  if (!saturation) return tl::unexpected(saturation.error());
  const double at_surface = saturation->value / (vapor_gas_constant * surface.kelvin());
  const double density_of_air = p.value / (dry_air_gas_constant * air.t.kelvin());
  const double mass_transfer = film.value / (density_of_air * heat_capacity_of_air * lewis_factor);  // m/s
  return MassFlux(mass_transfer * (air.absolute_humidity().value - at_surface));
}

}  // namespace overwinter
