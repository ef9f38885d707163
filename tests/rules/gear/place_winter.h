// A winter made up for the tests of a place: weather with days, fronts, a dry fortnight, clear and dull days; a closed
// camper of one thermal node with sun on it, whose air leaks to the outdoors and trades vapor with the wood inside.
// Numbers are those of ordinary campers and weather (estimates); nothing of it is taken from the model under test but
// the saturation of vapor.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>

#include "rules/physics/vapor_saturation.h"

namespace overwinter {

struct MadeUpWinter {
  // What can be changed.
  double mean = -4;          // degC, of the winter
  double time_constant = 5;  // h, of the camper
  double sun_gain = 0.5;     // K/h per 100 W/m2
  bool wet_floor = false;
  double air_changes = 0.4;  // 1/h

  // The present.
  double outside = 0, outside_humidity = 0.8, sun = 0;
  double inside = 0, inside_humidity = 0.75, wood_humidity = 0.75;

  static constexpr double hours_per_step = 0.5;

  void step() {
    hour_ += hours_per_step;
    weather();
    inside += -std::expm1(-hours_per_step / time_constant) * (outside - inside) + sun_gain * sun / 100 * hours_per_step;
    vapor();
  }
  double day() const { return hour_ / 24; }

  // As a sensor reports it: rounded, with noise.
  double measured(double value, double step, double noise) {
    return std::round((value + noise * random()) / step) * step;
  }

 private:
  static double wave(double hour, double period, double phase) {
    return std::sin(2 * std::numbers::pi * (hour / period + phase));
  }
  double random() {  // -1..1, Numerical Recipes' generator
    state_ = state_ * 1664525U + 1013904223U;
    return static_cast<double>(state_) / 2147483648.0 - 1;
  }
  static double saturated(double celsius) { return saturation_pressure(Temperature(celsius))->value; }
  static double highest(double celsius) {
    return celsius < 0 ? saturation_pressure_over_ice(Temperature(celsius))->value : saturated(celsius);
  }

  void weather() {
    const double season = -7 * std::sin(std::numbers::pi * day() / 150);
    const double fronts = 5 * wave(hour_, 97, 0.1) + 3 * wave(hour_, 41, 0.7) + 2.5 * wave(hour_, 233, 0.4);
    const double clear = 0.5 + 0.5 * wave(hour_, 131, 0.2);  // 0 dull, 1 clear
    const double daily = wave(hour_, 24, -0.375);
    outside = mean + 4 + season + fronts + (2 + 4 * clear) * daily;
    sun = std::max(0.0, 380 * wave(hour_, 24, -0.25) - 120) * (0.15 + 0.85 * clear);
    const bool dry_fortnight = day() > 95 && day() < 109;
    const double damp = 0.90 - 0.15 * clear - 0.10 * daily + 0.05 * wave(hour_, 60, 0.5) - (dry_fortnight ? 0.25 : 0);
    outside_humidity = std::clamp(damp, 0.25, 0.99);
    outside_humidity = std::min(outside_humidity, highest(outside) / saturated(outside));
  }
  void vapor() {
    constexpr double wood_exchange = 1;           // 1/h, as air changes
    constexpr double air = 30.0 / (461.5 * 270);  // kg of vapor a pascal in 30 m3
    constexpr double wood = 30;                   // kg of water between dry and saturated wood
    const double outdoors = outside_humidity * saturated(outside);
    const double in_wood = wood_humidity * highest(inside);
    const double floor = wet_floor ? 2 : 0;
    double e = (air_changes * outdoors + wood_exchange * in_wood + floor * highest(inside)) /
               (air_changes + wood_exchange + floor);
    e = std::min(e, highest(inside));
    wood_humidity -= wood_exchange * (in_wood - e) * air / wood * hours_per_step;
    inside_humidity = e / saturated(inside);
  }

  double hour_ = 0;
  std::uint32_t state_ = 20261031;
};

}  // namespace overwinter
