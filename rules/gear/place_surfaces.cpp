#include "rules/gear/place_surfaces.h"

#include <algorithm>
#include <cmath>

#include "rules/physics/in_quadrature.h"
#include "rules/physics/surface_condensation.h"

namespace overwinter {
namespace {

constexpr double factor_plus_minus = 0.1;
constexpr double lag_share = 0.25;
constexpr double start_plus_minus = 5;  // K
constexpr Span longest_hold = 3 * one_hour;
constexpr double safe_margin = 2;  // K
constexpr Span drying_time = 6 * one_hour;

}  // namespace

double temperature_factor_of(PlaceSurface surface) {
  switch (surface) {
    case PlaceSurface::bare_metal:
      return 0.235;
    case PlaceSurface::single_glass:
      return 0.253;
    case PlaceSurface::insulated:
      return 0.75;
  }
  return 0.253;
}

Reckoned skin_temperature(const Sample& inside, const Sample& outside, double factor) {
  const double difference = inside.value - outside.value;
  const double sensors = in_quadrature(factor * inside.plus_minus, (1 - factor) * outside.plus_minus);
  return {outside.value + factor * difference, in_quadrature(sensors, factor_plus_minus * difference)};
}

Reckoned cold_mass(const Sample& air, double lagged, Span watched_for, Span lag) {
  const double start = start_plus_minus * std::exp(-to_seconds(watched_for) / to_seconds(lag));
  return {lagged, in_quadrature(air.plus_minus, lag_share * (air.value - lagged), start)};
}

std::optional<DamperAir> damper_of(const PlaceAir& inside, const OutdoorAir& outdoors) {
  const bool outdoors_known = outdoors.temperature.known && outdoors.vapor_pressure;
  if (!inside.known() && !outdoors_known) return std::nullopt;
  if (outdoors_known && (!inside.known() || outdoors.vapor_pressure->value > inside.vapor_pressure.value)) {
    return DamperAir{true, outdoors.temperature.value, *outdoors.vapor_pressure, outdoors.dew_point,
                     outdoors.frost_point};
  }
  return DamperAir{false, inside.temperature, inside.vapor_pressure, inside.dew_point, inside.frost_point};
}

double wetting_rate(const DamperAir& air, double surface, double pressure) {
  const Temperature t(air.temperature);
  const auto saturated = saturated_vapor(t);
  if (!saturated) return 0;
  const Share rh(std::min(air.vapor_pressure.value / saturated->pressure.value, 1.0));
  const auto flux = deposit_flux(MoistAir{t, rh, *saturated}, Temperature(surface), AbsolutePressure(pressure));
  return flux ? flux->value : 0;
}

void ThawSpell::pass_time(Instant now) {
  if (since_ != never && now > since_) {
    wetting_ = std::max(wetting_ + rate_ * to_seconds(std::min(now - since_, longest_hold)), 0.0);
  }
  since_ = now;
}

void ThawSpell::judge(Instant now, std::optional<double> margin, double rate) {
  rate_ = margin ? rate : 0;
  if (!margin || *margin <= safe_margin) {
    safe_since_ = never;
  } else if (safe_since_ == never) {
    safe_since_ = now;
  } else if (now - safe_since_ >= drying_time) {
    wetting_ = 0;
  }
}

}  // namespace overwinter
