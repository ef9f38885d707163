// A tire of 52 psi at 61 degF with its model, and what a true tire does in a winter.
#pragma once

#include <gtest/gtest.h>

#include <cmath>
#include <cstdint>
#include <map>
#include <numbers>
#include <set>
#include <string>

#include "rules/gear/kinds.h"
#include "rules/gear/tire_model.h"
#include "rules/physics/tire_pressure.h"
#include "rules/physics/tire_seepage.h"
#include "tests/rules/gear/fake_surroundings.h"

namespace overwinter {

inline constexpr double psi = pascals_per_psi;
inline constexpr double fill_celsius = (61 - 32) / 1.8;
inline constexpr std::uint8_t pressure_index = index_of(TireQuantity::pressure);

inline Instant utc(const char* text) { return *parse_rfc3339(text); }
inline const Instant filled_on = utc("2026-10-24T06:00:00Z");

// A tire of 52 psi at 61 degF, at Alder Bend's kind of winter, and its model.
struct TireRig {
  FakeSurroundings around{tire_kind()};
  TireModel model;
  std::set<int> verdicts;
  int leaks_ended = 0;  // times at which the verdict `leaking` gave way to another

  TireRig() {
    around.time_zone = {"America/Winnipeg", {{Instant{}, std::chrono::hours(-6)}}};
    around.units = DisplayUnits::us;
    around.season_start = utc("2026-10-31T05:00:00Z");
    around.time = filled_on;
    around.set_parameter("filled.pressure", 52 * psi);
    around.set_parameter("filled.temperature", fill_celsius);
    around.set_parameter("filled.date", to_seconds(filled_on));
    around.set_parameter("minimum_pressure", 40 * psi);
  }
  void step() {
    const bool leaked = verdict() == static_cast<int>(TireVerdict::leaking);
    model.update(around);
    around.end_step();
    if (leaked && verdict() != static_cast<int>(TireVerdict::leaking)) ++leaks_ended;
    if (const auto verdict = around.value("verdict")) verdicts.insert(static_cast<int>(*verdict));
  }
  void go(Instant to) {
    while (model.next_wake() <= to) {
      around.time = std::max(around.time, model.next_wake());
      step();
    }
    around.time = to;
  }
  void sensor(Instant at, double pressure, double celsius) {
    go(at);
    around.read("temperature", celsius);
    around.read("pressure", pressure);
    step();
  }
  void by_hand(Instant at, double pressure, double celsius) {
    go(at);
    around.place_reads(PlaceQuantity::temperature, celsius);
    around.read("pressure", pressure, {}, true);
    step();
  }
  int verdict() const { return static_cast<int>(around.value("verdict").value_or(-1)); }
  std::string words(double pressure) {
    const Sample reading{pressure, 2 * psi, around.time, true, true};
    return model.verdict_in_words(around, pressure_index, reading,
                                  model.expected(around, pressure_index, around.time, true));
  }
};

inline int word(TireVerdict v) { return static_cast<int>(v); }

// -30..15 degC: a season's swing, cold spells of five days and a day's swing.
inline double weather(Instant t) {
  const double days = to_seconds(t - filled_on) / 86400;
  constexpr double turn = 2 * std::numbers::pi;
  return -7.5 - 11 * std::sin(turn * (days - 20) / 180) + 6 * std::sin(turn * days / 10.3) +
         5 * std::sin(turn * (days - 0.58));
}

// Repeatable errors, about normal, sigma 1.
struct Errors {
  std::uint64_t state = 12345;
  double next() {
    double sum = 0;
    for (int i = 0; i < 12; ++i) {
      state = state * 6364136223846793005ULL + 1442695040888963407ULL;
      sum += static_cast<double>(state >> 11) / 9007199254740992.0;
    }
    return sum - 6;
  }
};

inline double rounded_to(double x, double step) { return step > 0 ? std::round(x / step) * step : x; }

// What the tire holds, by the gas law and its seepage.
struct TrueTire {
  double seeped = 0;
  double leaked = 0;  // Pa at 20 degC
  double read(double celsius, double ambient = 101325) const {
    const double normal =
        ((52 * psi + 101325) * 293.15 / (fill_celsius + 273.15) - 101325) * std::exp(-seeped) - leaked;
    return (normal + 101325) * (celsius + 273.15) / 293.15 - ambient;
  }
  void pass(double celsius, double seconds, double leak_psi_per_week) {
    seeped += 0.7 * tire_seepage(Temperature(std::max(celsius, -40.0)))->value * seconds;
    leaked += leak_psi_per_week * psi * seconds / (7 * 86400);
  }
};

}  // namespace overwinter
