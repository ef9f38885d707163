#include "rules/physics/glycol.h"

#include <array>

#include "rules/physics/knots.h"
#include "rules/physics/within.h"

namespace overwinter {

Outcome<Temperature> glycol_freezing_point(Share volume_fraction) {
  if (!within(volume_fraction, Share(0), Share(0.59))) {
    return no_value("the glycol's share of the volume is outside 0..59 %");
  }
  const double glycol = 1036 * volume_fraction.value;
  const double water = 998.2 * (1 - volume_fraction.value);
  const double x = 100 * glycol / (glycol + water) - 30.7031;  // percent by mass about the center of the fit
  const double celsius = -13.25 + x * (-0.6631 + x * (-0.01094 + x * (-2.283e-4 + x * (-3.409e-6 + x * 1.465e-8))));
  return Temperature(celsius);
}

Outcome<Temperature> glycol_burst_point(Share volume_fraction) {
  if (!within(volume_fraction, Share(0), Share(0.60))) {
    return no_value("the glycol's share of the volume is outside 0..60 %");
  }
  // Volume fraction, degF.
  static constexpr std::array<Knot, 8> published = {
      {{0, 32}, {0.12, 20}, {0.20, 10}, {0.24, 0}, {0.28, -10}, {0.30, -20}, {0.33, -30}, {0.35, -60}}};
  return Temperature((interpolate(published, volume_fraction.value) - 32) / 1.8);
}

Outcome<Share> diluted_fraction(Share antifreeze_fraction, Volume antifreeze, Volume water) {
  if (!within(antifreeze_fraction, Share(0), Share(1))) {
    return no_value("the antifreeze's fraction is outside 0..100 %");
  }
  if (!within(antifreeze, Volume(0), Volume(1000)) || !within(water, Volume(0), Volume(1000))) {
    return no_value("a volume is outside 0..1000 m3");
  }
  const double total = (antifreeze + water).value;
  if (!(total > 0)) return no_value("there is no liquid to mix");
  return Share(antifreeze_fraction.value * antifreeze.value / total);
}

}  // namespace overwinter
