#include "rules/physics/propane.h"

#include <algorithm>
#include <cmath>

#include "rules/physics/within.h"

namespace overwinter {
namespace {

constexpr double critical_temperature = 369.89;  // K
constexpr double critical_pressure = 4251.2e3;   // Pa
constexpr double critical_density = 220.4781;    // kg/m3
constexpr double highest_liquid_full = 90;       // degC, well below the critical 96.74

constexpr const char* propane_temperature_range = "the temperature of the propane is outside -50..60 degC";

bool usual(Temperature t) { return within(t, Temperature(-50), Temperature(60)); }

// The ancillary equations, for any temperature between the triple and the critical point.
double vapor_pressure_ancillary(double kelvin) {
  const double x = 1 - kelvin / critical_temperature;
  const double sum = -6.7722 * x + 1.6938 * std::pow(x, 1.5) - 1.3341 * std::pow(x, 2.2) - 3.1876 * std::pow(x, 4.8) +
                     0.94937 * std::pow(x, 6.2);
  return critical_pressure * std::exp(critical_temperature / kelvin * sum);
}

double liquid_ancillary(double kelvin) {
  const double x = 1 - kelvin / critical_temperature;
  return critical_density * (1 + 1.82205 * std::pow(x, 0.345) + 0.65802 * std::pow(x, 0.74) +
                             0.21109 * std::pow(x, 2.6) + 0.083973 * std::pow(x, 7.2));
}

double vapor_ancillary(double kelvin) {
  const double x = 1 - kelvin / critical_temperature;
  const double sum = -2.4887 * std::pow(x, 0.3785) - 5.1069 * std::pow(x, 1.07) - 12.174 * std::pow(x, 2.7) -
                     30.495 * std::pow(x, 5.5) - 52.192 * std::pow(x, 10) - 134.89 * std::pow(x, 20);
  return critical_density * std::exp(sum);
}

}  // namespace

Outcome<AbsolutePressure> propane_vapor_pressure(Temperature temperature) {
  if (!usual(temperature)) return no_value(propane_temperature_range);
  return AbsolutePressure(vapor_pressure_ancillary(temperature.kelvin()));
}

Outcome<GaugePressure> propane_gauge_pressure(Temperature temperature, AbsolutePressure station_pressure) {
  if (!within(station_pressure, AbsolutePressure(50e3), AbsolutePressure(110e3))) {
    return no_value("the station pressure is outside 50..110 kPa");
  }
  const auto saturated = propane_vapor_pressure(temperature);
  if (!saturated) return tl::unexpected(saturated.error());
  return gauge(*saturated, station_pressure);
}

Outcome<Density> propane_liquid_density(Temperature temperature) {
  if (!usual(temperature)) return no_value(propane_temperature_range);
  return Density(liquid_ancillary(temperature.kelvin()));
}

Outcome<Density> propane_vapor_density(Temperature temperature) {
  if (!usual(temperature)) return no_value(propane_temperature_range);
  return Density(vapor_ancillary(temperature.kelvin()));
}

Outcome<Temperature> propane_liquid_full(Share liquid_fraction, Temperature temperature) {
  if (!usual(temperature)) return no_value(propane_temperature_range);
  if (!within(liquid_fraction, Share(0), Share(1))) return no_value("the liquid fraction is outside 0..100 %");
  const double f = liquid_fraction.value;
  const double mean = f * liquid_ancillary(temperature.kelvin()) + (1 - f) * vapor_ancillary(temperature.kelvin());
  Temperature low = temperature;  // liquid there is at least as dense as the mean
  Temperature high{highest_liquid_full};
  if (mean < liquid_ancillary(high.kelvin())) return no_value("the liquid does not fill the cylinder below 90 degC");
  for (int i = 0; i < 60; ++i) {  // bisection to the last bit
    const Temperature middle = low + (high - low) / 2;
    (liquid_ancillary(middle.kelvin()) > mean ? low : high) = middle;
  }
  return low + (high - low) / 2;
}

Outcome<Mass> propane_contents(Mass gross, Mass tare) {
  if (!within(tare, Mass(0.1), Mass(1000)) || !within(gross, Mass(0), Mass(1000))) {
    return no_value("a weight of the cylinder is outside 0..1000 kg");
  }
  const Mass contents = gross - tare;
  if (contents < Mass(-0.5))
    return no_value("the cylinder weighs less than its tare: check the scale and the TW stamp");
  return std::max(contents, Mass(0));
}

Outcome<Share> propane_fill_fraction(Mass contents, Mass water_capacity) {
  if (!within(water_capacity, Mass(1), Mass(500))) return no_value("the water capacity is outside 1..500 kg");
  if (!within(contents, Mass(0), water_capacity)) {
    return no_value("the contents are outside 0..the water capacity: check the weights and the stamps");
  }
  return Share(contents / (0.42 * water_capacity));
}

Outcome<Share> propane_liquid_fraction(Mass contents, Mass water_capacity, Temperature temperature) {
  if (!usual(temperature)) return no_value(propane_temperature_range);
  if (const auto filled = propane_fill_fraction(contents, water_capacity); !filled) {
    return tl::unexpected(filled.error());
  }
  constexpr double water_density = 999.01;  // kg/m3 at 60 degF
  const double liquid = liquid_ancillary(temperature.kelvin());
  const double vapor = vapor_ancillary(temperature.kelvin());
  const double mean = contents.value * water_density / water_capacity.value;
  if (mean > liquid) {
    return no_value("a cylinder of this water capacity cannot hold so much propane: check the weights and the stamps");
  }
  return Share(std::max(0.0, (mean - vapor) / (liquid - vapor)));
}

}  // namespace overwinter
