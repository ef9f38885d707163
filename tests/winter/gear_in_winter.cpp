#include "tests/winter/gear_in_winter.h"

#include <algorithm>
#include <cmath>

namespace overwinter {
namespace {

void follow(double& x, double target, double seconds, double hours) {
  x += (target - x) * (1 - std::exp(-seconds / (hours * 3600)));
}

}  // namespace

void TrueTire::fill(double gauge, double celsius_now, double station) {
  absolute_at_16 = (gauge + station) * 289.25 / (celsius_now + 273.15);
}

void TrueTire::step(const Sky& sky, double seconds, double leak_per_week) {
  follow(celsius, sky.celsius + (in_the_sun ? 9 : 2) * sky.sun, seconds, 1.4);
  // 1.2 % a month at 21 degC, 45 kJ/mol: in the middle of what is published for passenger tires.
  const double kelvin = celsius + 273.15;
  const double seepage = 0.012 / 2629800 * std::exp(45e3 / 8.314 * (1 / 294.25 - 1 / kelvin));
  absolute_at_16 -= (absolute_at_16 - 98.5e3) * seepage * seconds + leak_per_week / 604800 * seconds;
}

void TrueBattery::step(double garage, double seconds, double load_ampere) {
  follow(celsius, garage, seconds, 7);
  if (on_charger) {
    hours_on += seconds / 3600;
    charge = std::min(1.0, charge + 8.0 * seconds / 3600 / 85 * std::clamp((1.02 - charge) * 6, 0.0, 1.0));
    const double wanted = hours_on > 14 ? 13.5 : 13.1 + 1.4 * std::min(1.0, hours_on / 5);
    follow(surface, wanted - (11.85 + 0.8 * charge), seconds, 0.3);
    return;
  }
  hours_on = 0;
  follow(surface, 0, seconds, 3);
  const double self =
      0.05 / 2629800 * std::exp2((celsius - 25) / 10);  // antimony grids, doubling in 10 K: trade figures
  charge = std::max(0.0, charge - self * seconds - load_ampere * seconds / 3600 / 85);
}

double TrueBattery::volts() const { return 11.85 + 0.8 * charge + 0.0002 * (celsius - 25) * 6 / 6 + surface; }

void TrueGarage::step(const Sky& sky, double seconds) {
  if (celsius < 6.9) heating = true;
  if (celsius > 7.6) heating = false;
  follow(celsius, sky.celsius + 3 * sky.sun, seconds, 22);
  if (heating) celsius += 3.4 * seconds / 3600;
}

void TrueCamper::step(const Sky& sky, double seconds) {
  follow(celsius, sky.celsius + 7 * sky.sun, seconds, 4.5);
  follow(vapor, sky.humidity * vapor_at_saturation(sky.celsius), seconds, 5);
  follow(stored, std::min(0.95, vapor / vapor_at_saturation(celsius)), seconds, 40);
}

double TrueCamper::humidity() const {
  const double air = std::min(0.98, vapor / vapor_at_saturation(celsius));
  return std::clamp(0.75 * air + 0.25 * stored, 0.15, 0.98);
}

}  // namespace overwinter
