#include "rules/physics/still_water.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace overwinter {
namespace {

using std::numbers::pi;

constexpr double density = 1000;           // kg/m3
constexpr double heat_capacity = 4186;     // J/(kg K)
constexpr double heat_of_fusion = 333550;  // J/kg
constexpr double ice_conductivity = 2.22;  // W/(m K)

// From the water's edge to the air, for one meter of tube, K m/W.
double resistance_per_meter(const WaterTube& tube) {
  const double inner = tube.inner_diameter.value;
  const double outer = inner + 2 * tube.wall.value;
  const double insulated = outer + 2 * tube.insulation.value;
  return std::log(outer / inner) / (2 * pi * tube.of_wall.value) +
         std::log(insulated / outer) / (2 * pi * tube.of_insulation.value) + 1 / (pi * insulated * tube.film.value);
}

}  // namespace

Outcome<FreezingTime> freezing_time(const WaterTube& tube, Temperature start, Temperature air) {
  if (!(tube.inner_diameter.value >= 0.001 && tube.inner_diameter.value <= 1)) {
    return no_value("the inner diameter of the tube is outside 1 mm..1 m");
  }
  if (!(tube.wall.value >= 0 && tube.insulation.value >= 0)) return no_value("a thickness of the tube is negative");
  if (!(tube.of_wall.value > 0 && tube.of_insulation.value > 0 && tube.film.value > 0)) {
    return no_value("a heat transfer property of the tube is not above zero");
  }
  if (!(start >= Temperature(0) && start <= Temperature(100))) {
    return no_value("the water starts outside 0..100 degC");
  }
  if (air >= Temperature(0)) return no_value("never: the air is not below 0 degC");
  if (!(air >= Temperature(-100))) return no_value("the air is below -100 degC");

  const double resistance = resistance_per_meter(tube);
  const double radius = tube.inner_diameter.value / 2;
  const double section = pi * radius * radius;
  const double below_zero = -air.celsius();
  const double cooling = density * heat_capacity * section * resistance * std::log((start - air).value / below_zero);
  const double freezing =
      density * heat_of_fusion / below_zero * (radius * radius / (4 * ice_conductivity) + section * resistance);
  return FreezingTime{Seconds(cooling), Seconds(freezing)};
}

Outcome<Seconds> pipe_freezing_time(Length inner_diameter, Length wall, Temperature start, Temperature air) {
  WaterTube tube;
  tube.inner_diameter = inner_diameter;
  tube.wall = wall;
  const auto time = freezing_time(tube, start, air);
  if (!time) return tl::unexpected(time.error());
  return time->total();
}

TemperatureTime exposure_below(Temperature base, Temperature t, Seconds duration) {
  return TemperatureTime(std::max(0.0, (base - t).value) * duration.value);
}

}  // namespace overwinter
