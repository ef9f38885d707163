#include "rules/physics/snow.h"

#include <cmath>

namespace overwinter {
namespace {

constexpr double standard_gravity = 9.80665;  // m/s2, ISO 80000-3

// Sturm et al. 2010, table 4: g/cm3, 1/cm, 1/day.
struct Pack {
  double densest, fresh;
  double by_depth, by_day;
};

constexpr Pack alpine{0.5975, 0.2237, 0.0012, 0.0038};
constexpr Pack maritime{0.5979, 0.2578, 0.0010, 0.0038};
constexpr Pack prairie{0.5940, 0.2332, 0.0016, 0.0031};
constexpr Pack tundra{0.3630, 0.2425, 0.0029, 0.0049};
constexpr Pack taiga{0.2170, 0.2170, 0, 0};

const Pack& pack(SnowClass snow_class) {
  switch (snow_class) {
    case SnowClass::alpine:
      return alpine;
    case SnowClass::maritime:
      return maritime;
    case SnowClass::prairie:
      return prairie;
    case SnowClass::tundra:
      return tundra;
    case SnowClass::taiga:
      break;
  }
  return taiga;
}

bool depth_in_range(Length depth) { return depth.value >= 0 && depth.value <= 5; }

constexpr const char* depth_outside = "the snow depth is outside 0..5 m";

}  // namespace

Outcome<Density> snow_density(Length depth, int day_of_season, SnowClass snow_class) {
  if (!depth_in_range(depth)) return no_value(depth_outside);
  if (day_of_season < -92 || day_of_season > 181) {
    return no_value("the day is outside the snow season: -92 (1 October) to 181 (30 June)");
  }
  const Pack& snow = pack(snow_class);
  const double centimeters = 100 * depth.value;  // the coefficients are for centimeters, not meters
  const double settled = -std::expm1(-snow.by_depth * centimeters - snow.by_day * day_of_season);
  return Density(1000 * ((snow.densest - snow.fresh) * settled + snow.fresh));
}

Outcome<PressureDifference> snow_load(Length depth, Density density) {
  if (!depth_in_range(depth)) return no_value(depth_outside);
  if (!(density.value >= 0 && density.value <= 917)) return no_value("the density of snow is outside 0..917 kg/m3");
  return PressureDifference(density.value * standard_gravity * depth.value);
}

}  // namespace overwinter
