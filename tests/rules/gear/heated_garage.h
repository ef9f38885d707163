// A garage with a thermostat, and the thermometer of a heated place: what the tests of its heating act on.
#pragma once

#include <cmath>
#include <numbers>
#include <optional>

#include "tests/rules/gear/place_bench.h"

namespace overwinter {

inline constexpr double set_temperature = 7.2;  // degC: 45 degF

// One thermal node and a thermostat with a hysteresis of 0.5 K.
struct Garage {
  PlaceBench bench;
  double time_constant = 20;  // h
  double power = 3;           // K/h
  bool heater_works = true, heats = false;
  double inside = set_temperature, outside = -10;
  double swing = 4;
  double hour = 0;
  double opened = 1;      // how much faster it cools with the door open
  int reports_every = 1;  // x 10 min
  int tens = 0;
  std::optional<double> inside_stuck_at, outdoors_stuck_at;

  Garage() {
    bench.around.set_parameter("heated", 1);
    bench.around.set_parameter("set_temperature", set_temperature);
  }
  void ten_minutes() {
    constexpr double part = 1.0 / 6;
    hour += part;
    if (inside < set_temperature - 0.25) heats = true;
    if (inside > set_temperature + 0.25) heats = false;
    const double out = weather();
    inside += -std::expm1(-part * opened / time_constant) * (out - inside);
    if (heats && heater_works) inside += power * part;
    bench.advance(10 * one_minute);
    if (tens++ % reports_every != 0) return;
    bench.around.outdoors_reads(PlaceQuantity::temperature, outdoors_stuck_at.value_or(out), 0.6);
    bench.around.read("temperature", inside_stuck_at.value_or(std::round(inside * 10) / 10));
    bench.step();
  }
  double weather() const { return outside + swing * std::sin(2 * std::numbers::pi * hour / 24); }
  void hours(double count) {
    const double until = hour + count;
    while (hour < until - 0.01) ten_minutes();
  }
  bool failed() const { return bench.around.is_true("heating_failed"); }
};

// What a thermometer of a heated place says, one reading after the other; when it was first told to have failed, in
// minutes, and whether that was taken back.
struct ThermometerTold {
  PlaceBench bench;
  std::optional<double> failed_at;
  bool taken_back = false;
  double minute = 0;

  ThermometerTold() {
    bench.around.set_parameter("heated", 1);
    bench.around.set_parameter("set_temperature", 7);
  }
  void read(double inside, double outside, Span every) {
    bench.around.outdoors_reads(PlaceQuantity::temperature, outside, 0.6);
    bench.around.read("temperature", inside);
    bench.step();
    const bool failed = bench.around.is_true("heating_failed");
    if (failed && !failed_at) failed_at = minute;
    if (failed_at && !failed) taken_back = true;
    bench.advance(every);
    minute += to_seconds(every) / 60;
  }
};

}  // namespace overwinter
