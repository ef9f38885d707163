#include "rules/physics/first_order_lag.h"

#include <cmath>

namespace overwinter {
namespace {

constexpr const char* bad_time_constant = "the time constant is not above zero";
constexpr const char* not_finite = "a temperature is not a finite number";

}  // namespace

Outcome<Temperature> first_order_lag(Temperature present, Temperature driving, Seconds step, Seconds time_constant) {
  if (!(time_constant.value > 0)) return no_value(bad_time_constant);
  if (!(step.value >= 0)) return no_value("the time step is negative");
  const Temperature after = present + (driving - present) * -std::expm1(-(step / time_constant));
  if (!std::isfinite(after.value)) return no_value(not_finite);
  return after;
}

Outcome<Seconds> time_until_cooled(Temperature present, Temperature surroundings, Temperature limit,
                                   Seconds time_constant) {
  if (!(time_constant.value > 0)) return no_value(bad_time_constant);
  const TemperatureStep to_surroundings = present - surroundings;
  const TemperatureStep limit_to_surroundings = limit - surroundings;
  if (!std::isfinite(to_surroundings.value) || !std::isfinite(limit_to_surroundings.value)) return no_value(not_finite);
  if (to_surroundings <= limit_to_surroundings) return Seconds(0);
  if (limit_to_surroundings <= TemperatureStep(0)) {
    return no_value("never: the surroundings are not colder than the limit");
  }
  return time_constant * std::log(to_surroundings / limit_to_surroundings);
}

}  // namespace overwinter
