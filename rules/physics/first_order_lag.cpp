#include "rules/physics/first_order_lag.h"

#include <cmath>

namespace overwinter {

Outcome<Seconds> time_until_cooled(Temperature present, Temperature surroundings, Temperature limit,
                                   Seconds time_constant) {
  if (!(time_constant.value > 0)) return no_value("the time constant is not above zero");
  const TemperatureStep to_surroundings = present - surroundings;
  const TemperatureStep limit_to_surroundings = limit - surroundings;
  if (!std::isfinite(to_surroundings.value) || !std::isfinite(limit_to_surroundings.value)) {
    return no_value("a temperature is not a finite number");
  }
  if (to_surroundings <= limit_to_surroundings) return Seconds(0);
  if (limit_to_surroundings <= TemperatureStep(0)) {
    return no_value("never: the surroundings are not colder than the limit");
  }
  return time_constant * std::log(to_surroundings / limit_to_surroundings);
}

}  // namespace overwinter
