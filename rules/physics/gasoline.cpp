#include "rules/physics/gasoline.h"

#include <cmath>

#include "rules/physics/within.h"

namespace overwinter {

Outcome<AbsolutePressure> gasoline_vapor_pressure(AbsolutePressure rvp, Temperature temperature) {
  constexpr double psi = 6894.757293168;  // Pa
  // A little slack, so that a converted 7 psi or 100 degF is inside.
  if (!within(rvp.value, 7 * psi - 0.01, 15 * psi + 0.01))
    return no_value("the Reid vapor pressure is outside 7..15 psi");
  if (!within(temperature.celsius(), -52 / 1.8 - 1e-6, 68 / 1.8 + 1e-6)) {
    return no_value("the temperature of the gasoline is outside -20..100 degF");
  }
  const double rankine = temperature.celsius() * 1.8 + 32 + 459.6;  // 459.6 as the source has it
  const double log_rvp = std::log10(rvp.value / psi);
  const double root_slope = std::sqrt(3.0);
  const double exponent = (0.7553 - 413 / rankine) * root_slope * log_rvp - (1.854 - 1042 / rankine) * root_slope +
                          (2416 / rankine - 2.013) * log_rvp - 8742 / rankine + 15.64;
  return AbsolutePressure(psi * std::exp(exponent));
}

}  // namespace overwinter
