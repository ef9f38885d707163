#include "rules/physics/tire_seepage.h"

#include <cmath>

#include "rules/physics/within.h"

namespace overwinter {

Outcome<RatePerSecond> tire_seepage(Temperature temperature, Seepage model) {
  if (!within(temperature, Temperature(-40), Temperature(60))) {
    return no_value("the temperature of the tire is outside -40..60 degC");
  }
  if (!within(model.at_70_degF.value * tire_month.value, 0, 1) || !within(model.activation_energy, 0, 150e3)) {
    return no_value("the model of seepage is outside 0..100 % per month and 0..150 kJ/mol");
  }
  constexpr double gas_constant = 8.314462618;  // J/(mol K)
  constexpr double reference = 294.25;          // K, 21.1 degC
  const double exponent = -model.activation_energy / gas_constant * (1 / temperature.kelvin() - 1 / reference);
  return model.at_70_degF * std::exp(exponent);
}

}  // namespace overwinter
