#include "rules/physics/electrolyte.h"

#include <algorithm>
#include <array>

#include "rules/physics/knots.h"
#include "rules/physics/lead_acid_state.h"
#include "rules/physics/within.h"

namespace overwinter {
namespace {

constexpr double volts_above_gravity = 0.845;  // of a cell

}  // namespace

Outcome<SpecificGravity> lead_acid_specific_gravity(Voltage voltage, Temperature temperature) {
  if (!(voltage <= highest_rested_voltage)) {
    return no_value("the battery is not at rest: above 12.9 V it is charging or carries surface charge");
  }
  if (!(voltage >= Voltage(1))) return no_value("below 1 V the sensor is not connected to a 12 V block");
  const auto at_25 = lead_acid_voltage_at_25_degC(voltage, temperature);
  if (!at_25) return tl::unexpected(at_25.error());
  return SpecificGravity(std::max(1.0, at_25->value / 6 - volts_above_gravity));
}

Voltage lead_acid_voltage_of_acid(SpecificGravity gravity) {
  return Voltage(6 * (gravity.value + volts_above_gravity));
}

Outcome<Temperature> electrolyte_freezing_point(SpecificGravity gravity) {
  if (!within(gravity, SpecificGravity(1), SpecificGravity(1.32))) {
    return no_value("the specific gravity is outside 1.000..1.320");
  }
  // degF as published.
  static constexpr std::array<Knot, 8> published = {
      {{1.000, 32}, {1.050, 27}, {1.100, 19}, {1.150, 5}, {1.200, -16}, {1.225, -35}, {1.250, -62}, {1.280, -90}}};
  return Temperature((interpolate(published, gravity.value) - 32) / 1.8);
}

}  // namespace overwinter
