#include "rules/physics/first_order_lag.h"

#include <cmath>

namespace overwinter {
namespace {

constexpr const char* bad_time_constant = "the time constant is not above zero";
constexpr const char* not_finite = "a temperature is not a finite number";

// Distances are counted in the direction of travel.
Outcome<Seconds> time_until(double to_surroundings, double limit_to_surroundings, Seconds time_constant,
                            const char* never) {
  if (!(time_constant.value > 0)) return no_value(bad_time_constant);
  if (!std::isfinite(to_surroundings) || !std::isfinite(limit_to_surroundings)) {
    return no_value(not_finite);
  }
  if (to_surroundings <= limit_to_surroundings) return Seconds(0);
  if (limit_to_surroundings <= 0) return no_value(never);
  return Seconds(time_constant.value * std::log(to_surroundings / limit_to_surroundings));
}

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
  return time_until((present - surroundings).value, (limit - surroundings).value, time_constant,
                    "never: the surroundings are not colder than the limit");
}

Outcome<Seconds> time_until_warmed(Temperature present, Temperature surroundings, Temperature limit,
                                   Seconds time_constant) {
  return time_until((surroundings - present).value, (surroundings - limit).value, time_constant,
                    "never: the surroundings are not warmer than the limit");
}

}  // namespace overwinter
