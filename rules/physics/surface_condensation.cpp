#include "rules/physics/surface_condensation.h"

#include <cmath>

namespace overwinter {
namespace {

constexpr double dry_air_gas_constant = 287.042;  // J/(kg K), ASHRAE Fundamentals 2017 ch. 1
constexpr double heat_capacity_of_air = 1006;     // J/(kg K), as in its eq. 30
constexpr double lewis_factor = 0.9;              // Le^(2/3) of vapor in air, from memory

}  // namespace

Outcome<Share> temperature_factor(const Wall& wall) {
  if (!(wall.conductivity.value > 0)) return no_value("the conductivity of the wall is not above zero");
  if (!(wall.thickness.value >= 0)) return no_value("the thickness of the wall is negative");
  if (!(wall.inside.value > 0 && wall.outside.value >= 0 && wall.cavity.value >= 0)) {
    return no_value("a thermal resistance of the wall is negative, or that of the inside is zero");
  }
  const double layer = wall.thickness.value / wall.conductivity.value;
  const double total = wall.inside.value + layer + wall.cavity.value + wall.outside.value;
  return Share(1 - wall.inside.value / total);
}

Outcome<Temperature> surface_temperature(Temperature inside, Temperature outside, Share factor) {
  if (!(factor.value >= 0 && factor.value <= 1)) return no_value("the temperature factor is outside 0..1");
  const Temperature surface = outside + (inside - outside) * factor.value;
  if (!std::isfinite(surface.value)) return no_value("a temperature is not a finite number");
  return surface;
}

Outcome<LimitPoint> limit_point(Temperature t, Share rh, Temperature surface) {
  if (!std::isfinite(surface.value)) return no_value("the temperature of the surface is not a finite number");
  const auto e = vapor_pressure(t, rh);
  if (!e) return tl::unexpected(e.error());
  const bool frost = surface < Temperature(0) && *e < *saturation_pressure_over_ice(Temperature(0));
  const auto limit = frost ? frost_point(t, rh) : dew_point(t, rh);
  if (!limit) return tl::unexpected(limit.error());
  return LimitPoint{*limit, frost ? Deposit::frost : Deposit::dew};
}

Outcome<TemperatureStep> condensation_margin(Temperature t, Share rh, Temperature surface) {
  const auto limit = limit_point(t, rh, surface);
  if (!limit) return tl::unexpected(limit.error());
  return surface - limit->temperature;
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
