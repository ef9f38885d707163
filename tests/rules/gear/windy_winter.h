// Sound winters that tempt the watch of the door, drawn by seed: a closed camper of two thermal nodes (its air; walls
// and furniture) with sun and a clear sky on it and wind that up to triples what leaks through it, cold fronts of up to
// 20 K in half a day that bring that wind, and thermometers that are rounded, biased, report hourly at drifting minutes
// or every five, and fall silent for up to four hours. Ranges are estimates; nothing is taken from the model under
// test.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <optional>

#include "tests/winter/splitmix.h"

namespace overwinter {

class ReportingThermometer {
 public:
  ReportingThermometer(std::uint64_t seed, bool often) : random_(seed) {
    constexpr double steps[] = {0.1, 0.1, 0.2, 0.25, 0.5};  // K
    step_ = steps[random_.next() % 5];
    bias_ = random_.between(-0.6, 0.6);
    noise_ = random_.between(0.02, 0.12);
    if (often) return;
    next_ = random_.between(0, 1);
    every_ = random_.uniform() < 0.5 ? 1 : random_.between(0.996, 1.004);
    jitter_ = random_.uniform() < 0.5 ? 0 : 0.1;
  }
  // What it reports at this hour, if anything.
  std::optional<double> report(double hour, double truth) {
    if (hour < next_) return std::nullopt;
    next_ += every_ + jitter_ * random_.between(-0.5, 0.5);
    if (random_.uniform() < every_ / 96) silent_until_ = hour + random_.between(0.5, 4);
    if (hour < silent_until_) return std::nullopt;
    return std::round((truth + bias_ + noise_ * random_.bell()) / step_) * step_;
  }

 private:
  SplitMix random_;
  double step_ = 0.1, bias_ = 0, noise_ = 0.1, next_ = 0, every_ = 1.0 / 12, jitter_ = 0, silent_until_ = 0;
};

class WindyWinter {
 public:
  explicit WindyWinter(std::uint64_t seed) : random_(seed) {
    mean_ = random_.between(-9, 4);
    const double time_constant = random_.between(3, 10);
    walls_ = random_.between(2, 8);
    exchange_ = (1 + walls_) / time_constant;
    leaks_ = random_.between(0.1, 0.45);
    windows_ = random_.between(0.15, 0.35);
    const double air_settles = random_.between(0.2, 1);  // h
    air_to_walls_ = std::max(1 / air_settles - exchange_ * (leaks_ + windows_), exchange_);
    sun_gain_ = random_.between(0.2, 0.8);
    sun_on_air_ = random_.between(0.1, 0.4);
    sky_ = random_.between(0, 1.4);
    storm_ = random_.between(0.5, 2);
    inside = walls_at_ = outside = mean_;
  }

  double hour = 0;                 // local
  double inside = 0, outside = 0;  // degC
  double opened = 1;               // the whole exchange, times that of the closed camper in still air

  static constexpr double step_hours = 1.0 / 12;
  void step() {
    hour += step_hours;
    weather();
    for (int i = 0; i < 3; ++i) exchange_heat(step_hours / 3);
  }
  double day() const { return hour / 24; }
  double of_day() const { return std::fmod(hour, 24); }

 private:
  // A wandering number of mean 0: Ornstein and Uhlenbeck.
  void wander(double& x, double hours, double deviation) {
    x += -x * step_hours / hours + std::sqrt(2 * step_hours / hours) * deviation * random_.bell();
  }
  double daily(double phase) const { return std::sin(2 * std::numbers::pi * (of_day() / 24 - phase)); }

  void weather() {
    wander(air_mass_, 60, 3.5);
    wander(gusts_of_heat_, 1.5, 0.35);
    wander(clouds_, 18, 1);
    wander(breeze_, 8, 1);
    pass_front();
    clear_ = std::clamp(0.5 + 0.45 * clouds_, 0.0, 1.0);
    const double season = -4 * std::sin(std::numbers::pi * day() / 150);
    const double swing = (1 + 4.5 * clear_) * (front_hours_ > 0 ? 0.4 : 1);
    outside = mean_ + 3 + season + air_mass_ + front_ + gusts_of_heat_ + swing * daily(0.375);
    sun_ = std::max(0.0, 520 * daily(0.25) - 160) * (0.12 + 0.88 * clear_);
    wind_ = 1 + storm_ * std::clamp(0.25 * std::max(0.0, breeze_) + 0.8 * front_wind_, 0.0, 1.0);
  }
  void pass_front() {
    if (front_hours_ > 0) {
      front_ += front_per_hour_ * step_hours;
      front_hours_ -= step_hours;
      front_wind_ = 1;
      return;
    }
    front_ -= front_ * step_hours / 60;
    front_wind_ -= front_wind_ * step_hours / 6;
    quiet_hours_ -= step_hours;
    if (quiet_hours_ > 0 || random_.uniform() > step_hours / (7 * 24)) return;
    front_hours_ = random_.between(4, 14);
    front_per_hour_ = random_.between(6, 20) / front_hours_ * (random_.uniform() < 0.7 ? -1 : 1);
    quiet_hours_ = 48;
  }
  void exchange_heat(double hours) {
    const double to_air = exchange_ * (leaks_ * wind_ + windows_ + opened - 1);
    const double to_walls = exchange_ * (1 - leaks_ - windows_);
    const double sunlight = sun_gain_ * sun_ / 100 * (1 + walls_);
    const double around_walls = outside - sky_ * clear_ * (sun_ > 0 ? 0.3 : 1);
    inside = (inside + hours * (to_air * outside + air_to_walls_ * walls_at_ + sun_on_air_ * sunlight)) /
             (1 + hours * (to_air + air_to_walls_));
    walls_at_ +=
        hours / walls_ *
        (air_to_walls_ * (inside - walls_at_) + to_walls * (around_walls - walls_at_) + (1 - sun_on_air_) * sunlight);
  }

  SplitMix random_;
  // The camper; capacities in those of its air, conductances in capacities an hour.
  double walls_ = 4, exchange_ = 1, leaks_ = 0.3, windows_ = 0.2, air_to_walls_ = 1;
  double sun_gain_ = 0.5, sun_on_air_ = 0.2, sky_ = 1, storm_ = 1, walls_at_ = 0;
  // The weather.
  double mean_ = 0, air_mass_ = 0, gusts_of_heat_ = 0, clouds_ = 0, breeze_ = 0, clear_ = 0.5, sun_ = 0, wind_ = 1;
  double front_ = 0, front_hours_ = 0, front_per_hour_ = 0, front_wind_ = 0, quiet_hours_ = 0;
};

}  // namespace overwinter
