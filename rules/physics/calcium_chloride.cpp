#include "rules/physics/calcium_chloride.h"

#include <algorithm>
#include <cmath>

#include "rules/physics/humidity_range.h"
#include "rules/physics/moist_air.h"

namespace overwinter {
namespace {

constexpr double weakest_brine = 0.01;
constexpr double strongest_brine = 0.6;
constexpr double eutectic = 0.2976;    // where the ice and hexahydrate lines of the equations cross
constexpr double coldest_brine = -40;  // degC

// Conde 2004, vapor pressure of calcium chloride solutions: a_w = f(xi, theta) pi25(xi).
double activity(double xi, double kelvin) {
  const double theta = kelvin / 647.226;
  const double a = 2 - std::pow(1 + std::pow(xi / 0.31, 3.698), 0.60);
  const double b = std::pow(1 + std::pow(xi / 0.231, 4.584), 0.49) - 1;
  const double at_25_degC =
      1 - std::pow(1 + std::pow(xi / 0.478, -5.20), -0.40) - 0.018 * std::exp(-(xi - 0.1) * (xi - 0.1) / 0.005);
  return (a + b * theta) * at_25_degC;
}

// Conde 2004, solubility boundary: the uppermost of ice, hexahydrate, alpha-tetrahydrate (always above
// the beta form), dihydrate and monohydrate.
double boundary_kelvin(double xi) {
  const double ice = 0.422088 + (-0.066933 - 0.282395 * xi) * xi - 355.514247 * std::pow(xi, 7.5);
  const double hexahydrate = -0.378950 + (3.456900 - 3.531310 * xi) * xi;
  const double tetrahydrate = -0.519970 + (3.400970 - 2.851290 * xi) * xi;
  const double dihydrate = -2.385836 + (8.084829 - 5.303476 * xi) * xi;
  const double monohydrate = -2.807560 + 4.678250 * xi;
  return 647.26 * std::max({ice, hexahydrate, tetrahydrate, dihydrate, monohydrate});
}

// Bisection for a rising condition: the largest x in low..high for which `below` still holds.
template <class Below>
double last_below(double low, double high, Below below) {
  while (high - low > 1e-10) {
    const double middle = (low + high) / 2;
    (below(middle) ? low : high) = middle;
  }
  return (low + high) / 2;
}

constexpr const char* temperature_outside = "the temperature is outside -40..60 degC, where brine is not described";

// (rh - a_w of saturated brine) e_w(t), Pa.
Outcome<double> driving_pressure(Temperature t, Share rh) {
  const auto e = vapor_pressure(t, rh);
  if (!e) return tl::unexpected(e.error());
  const auto melting = deliquescence_humidity(t);
  if (!melting) return tl::unexpected(melting.error());
  return e->value - melting->value * saturation_pressure(t)->value;
}

}  // namespace

Outcome<Share> brine_water_activity(Share fraction, Temperature t) {
  if (!(t.celsius() >= coldest_brine && t.celsius() <= 100)) {
    return no_value("the temperature is outside -40..100 degC, where brine is not described");
  }
  if (fraction.value == 0) return Share(1);
  if (!(fraction.value >= weakest_brine && fraction.value <= strongest_brine)) {
    return no_value("the salt fraction of the brine is outside 1..60 %");
  }
  return Share(activity(fraction.value, t.kelvin()));
}

Outcome<Temperature> brine_boundary(Share fraction) {
  if (!(fraction.value >= 0 && fraction.value <= strongest_brine)) {
    return no_value("the salt fraction of the brine is outside 0..60 %");
  }
  const Temperature boundary = Temperature::from_kelvin(boundary_kelvin(fraction.value));
  if (boundary.celsius() < coldest_brine)
    return no_value("the brine stays liquid below -40 degC, where it is not described");
  return boundary;
}

Outcome<Share> brine_saturation(Temperature t) {
  if (!(t.celsius() >= coldest_brine && t.celsius() <= 60)) return no_value(temperature_outside);
  const double kelvin = t.kelvin();
  return Share(last_below(eutectic, strongest_brine, [kelvin](double xi) { return boundary_kelvin(xi) < kelvin; }));
}

Outcome<Share> deliquescence_humidity(Temperature t) {
  const auto saturated = brine_saturation(t);
  if (!saturated) return saturated;
  return brine_water_activity(*saturated, t);
}

Outcome<Share> brine_equilibrium(Temperature t, Share rh) {
  const auto saturated = brine_saturation(t);
  if (!saturated) return saturated;
  const double kelvin = t.kelvin();
  if (!(rh.value >= activity(saturated->value, kelvin))) {
    return no_value("no brine: the air is drier than the deliquescence humidity");
  }
  if (rh.value > activity(weakest_brine, kelvin))
    return no_value("the air is so damp that the brine thins without end");
  return Share(
      last_below(weakest_brine, saturated->value, [kelvin, rh](double xi) { return activity(xi, kelvin) > rh.value; }));
}

Outcome<double> absorber_rate_factor(Temperature t, Share rh) {
  const auto here = driving_pressure(t, rh);
  if (!here) return here;
  return *here / *driving_pressure(Temperature(20), Share(0.8));
}

Outcome<bool> absorber_works(Temperature t, Share rh) {
  if (!humidity_in_range(rh)) return no_value(humidity_outside);
  const auto melting = deliquescence_humidity(t);
  if (!melting) return tl::unexpected(melting.error());
  return t > Temperature(0) && rh >= *melting + Share(0.05);
}

Outcome<AbsorberTub> tub_after(AbsorberTub tub, Temperature t, Share rh, Seconds step, UptakeCoefficient uptake) {
  if (!(tub.salt.value > 0 && tub.water.value >= 0)) return no_value("the tub holds no salt, or less than no water");
  if (!(step.value >= 0 && step.value <= 3600)) return no_value("the time step is outside 0..1 h");
  if (!(uptake.value >= 0)) return no_value("the uptake coefficient is negative");
  const auto e = vapor_pressure(t, rh);
  if (!e) return tl::unexpected(e.error());
  const auto saturated = brine_saturation(t);
  if (!saturated) return tl::unexpected(saturated.error());

  const double mixed = tub.salt.value / tub.total().value;
  const auto over_brine = brine_water_activity(Share(std::min(mixed, saturated->value)), t);
  if (!over_brine) return tl::unexpected(over_brine.error());
  const double driving = e->value - over_brine->value * saturation_pressure(t)->value;
  const double water = tub.water.value + uptake.value * driving * step.value;
  return AbsorberTub{tub.salt, Mass(std::max(water, 0.0))};
}

}  // namespace overwinter
