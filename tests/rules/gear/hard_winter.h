// A winter that is hard on a tire's judge: cold snaps, sun on one side, weather that no barometer tells, thermometers
// that are wrong in level, gain and lag, gauges of 0.1 to 0.5 psi, moist fills gauged by a stick, silent weeks. Every
// tire has its own, by its seed.
#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <numbers>

#include "rules/physics/tire_pressure.h"
#include "rules/physics/tire_seepage.h"
#include "tests/rules/gear/tire_rig.h"

namespace overwinter {

struct HardWinterOptions {
  std::uint64_t seed = 1;
  bool own_temperature = true;
  double leak_psi_per_week = 0;
  double leak_from_day = 0;
  int days = 150;
};

class HardWinter {
 public:
  explicit HardWinter(const HardWinterOptions& options)
      : options_(options), errors_{options.seed * 0x9e3779b97f4a7c15U} {
    for (int i = 0; i < 20; ++i) errors_.next();
    for (auto& snap : snaps_) snap = {evenly(10, 140), evenly(3, 8)};
  }

  // One tire through its winter. after_hour(rig, day) is called after each reading.
  template <class Seen>
  void run(TireRig& rig, const Seen& seen) {
    fill(rig);
    for (int hour = 1; hour < options_.days * 24; ++hour) {
      step(hour);
      if (hour % 2 != 0) continue;
      const Instant t = filled_on + hour * one_hour;
      rig.go(t);
      rig.around.place_reads(PlaceQuantity::temperature, place_bias_ + place_gain_ * sheltered_ + 0.2 * errors_.next());
      if (silent(hour)) continue;
      if (options_.own_temperature) {
        rig.around.read("temperature", std::round(sensor_bias_ + sensor_gain_ * sensor_ + 0.3 * errors_.next()));
      }
      rig.around.read("pressure", reading());
      rig.step();
      seen(rig, hour / 24.0);
    }
  }

 private:
  struct Snap {
    double begins = 0, holds = 0;  // days
  };

  double evenly(double low, double high) {
    errors_.next();
    return low + (high - low) * static_cast<double>(errors_.state >> 11) / 9007199254740992.0;
  }

  static void follow(double& x, double target, double hours) { x += (target - x) * -std::expm1(-1 / hours); }

  // K by which cold snaps lie below the season: 20 K in two days, held, gone in three.
  double snap(double day) const {
    double deepest = 0;
    for (const auto& s : snaps_) {
      const double in = (day - s.begins) / 2;
      const double out = (s.begins + 2 + s.holds + 3 - day) / 3;
      deepest = std::max(deepest, 20 * std::clamp(std::min(in, out), 0.0, 1.0));
    }
    return deepest;
  }

  void step(int hour) {
    constexpr double turn = 2 * std::numbers::pi;
    const double day = hour / 24.0;
    const double local = std::fmod(hour / 24.0, 1.0);  // filled at midnight local
    if (hour % 24 == 1) {
      clear_ = evenly(0, 1);
      silent_from_ = evenly(0, 1) < 0.02 && silent_until_ < day ? day : silent_from_;
      if (silent_from_ == day) silent_until_ = day + evenly(0.5, 12);
    }
    front_ += -front_ / 72 + 5 * std::sqrt(2 / 72.0) * errors_.next();
    high_ += -high_ / 60 + 1000 * std::sqrt(2 / 60.0) * errors_.next();
    const double season = std::max(-18.0, 8 - 22 * std::sin(turn * day / 300));
    const double sun =
        clear_ * std::max(0.0, std::cos(turn * (local - 0.54))) * (0.35 + 0.65 * std::abs(day - 60) / 90);
    const double night = clear_ * std::max(0.0, -std::cos(turn * (local - 0.54)));
    const double air = std::max(season + front_ - snap(day), -36.0) + 4 * std::cos(turn * (local - 0.62));
    sheltered_ = air + 1.5 * sun;
    follow(celsius_, air + sun_gain_ * sun - 2 * night, 1.4);
    follow(sensor_, celsius_, sensor_lag_);
    seeped_ += seepage_share_ * tire_seepage(Temperature(std::clamp(celsius_, -40.0, 60.0)))->value * 3600;
    if (day >= options_.leak_from_day) leaked_ += options_.leak_psi_per_week * psi / 168;
  }

  void fill(TireRig& rig) {
    celsius_ = sensor_ = fill_celsius + 2 * errors_.next();
    const double gauge = 52 * psi + 0.5 * psi * errors_.next();
    normal_ = (gauge + 101325) * 293.15 / (celsius_ + 273.15) - 101325;
    filled_at_ = celsius_;
    rig.around.set_parameter("minimum_pressure", 40 * psi);
  }

  // What the tire holds at its temperature, as its sensor tells it.
  double reading() {
    const double holds = (normal_ * std::exp(-seeped_) - leaked_ + 101325) * (celsius_ + 273.15) / 293.15;
    const auto moist = moist_fill_correction(Temperature(filled_at_), Temperature(std::clamp(celsius_, -40.0, 45.0)),
                                             Share(humidity_in_tire_));
    const double gauge = holds + std::min(0.0, moist ? moist->value : 0.0) - (101325 + high_);
    const double error = bias_ + drift_ * (celsius_ - 10) + noise_ * errors_.next();
    return std::max(0.0, rounded_to(gauge + error, resolution_));
  }

  bool silent(int hour) {
    const double day = hour / 24.0;
    return (day >= silent_from_ && day < silent_until_) || evenly(0, 1) < lost_;
  }

  HardWinterOptions options_;
  Errors errors_;
  std::array<Snap, 3> snaps_{};
  double resolution_ = std::array{0.1, 0.2, 0.25, 0.36, 0.5}[options_.seed % 5] * psi;
  double noise_ = evenly(0.05, 0.4) * psi;
  double bias_ = 0.7 * psi * errors_.next();
  double drift_ = 0.008 * psi * errors_.next();  // per K
  double sensor_bias_ = 1.5 * errors_.next(), sensor_gain_ = 1 + 0.04 * errors_.next();
  double sensor_lag_ = evenly(0.3, 2);  // hours
  double place_bias_ = errors_.next(), place_gain_ = 1 + 0.03 * errors_.next();
  double sun_gain_ = options_.seed % 2 != 0 ? 15 : 3;  // K at a clear noon
  double seepage_share_ = evenly(0.5, 1.5) / 1.5;      // of 1.5 % a month at 70 degF
  double humidity_in_tire_ = evenly(0, 1);
  double lost_ = evenly(0, 0.9);  // share of readings
  double normal_ = 0, filled_at_ = 0, seeped_ = 0, leaked_ = 0;
  double celsius_ = 0, sensor_ = 0, sheltered_ = 0, front_ = 0, high_ = 0, clear_ = 0;
  double silent_from_ = -1, silent_until_ = -1;
};

}  // namespace overwinter
