// What stands at Alder Bend, as it really is: tires, battery, rooms. The sensors see it through their errors.
#pragma once

#include "tests/winter/weather.h"

namespace overwinter {

inline constexpr double winter_psi = 6894.757293168;

// Ideal gas in a carcass that hardly stretches; seeps through the rubber, and perhaps through the valve.
struct TrueTire {
  bool in_the_sun = false;
  double celsius = 8;
  double absolute_at_16 = 0;  // Pa, brought to 16.1 degC (61 degF)

  void fill(double gauge, double celsius_now, double station);
  void step(const Sky& sky, double seconds, double leak_per_week);  // Pa
  double absolute() const { return absolute_at_16 * (celsius + 273.15) / 289.25; }
  double gauge(const Sky& sky) const { return absolute() - sky.station_pa(); }
};

// Flooded, six cells, 85 Ah.
struct TrueBattery {
  double charge = 0.99;
  double surface = 0;  // V above rest, fades over hours
  double celsius = 7;
  bool on_charger = false;
  double hours_on = 0;

  void step(double garage, double seconds, double load_ampere);
  double volts() const;
};

struct TrueGarage {
  double celsius = 10;
  bool heating = false;
  void step(const Sky& sky, double seconds);
};

struct TrueCamper {
  double celsius = 5;
  double vapor = 650;   // Pa
  double stored = 0.7;  // humidity that wood and fabric hold
  void step(const Sky& sky, double seconds);
  double humidity() const;
};

}  // namespace overwinter
