// An 85 Ah flooded battery with its model, and what its sensors say.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <set>
#include <string_view>

#include "rules/gear/kinds.h"
#include "rules/gear/lead_acid_battery_model.h"
#include "tests/rules/gear/fake_surroundings.h"

namespace overwinter {

inline constexpr std::uint8_t voltage_index = index_of(BatteryQuantity::voltage);

inline Instant battery_time(const char* text) { return *parse_rfc3339(text); }
inline const Instant charged_on = battery_time("2026-10-31T05:00:00Z");

// The rested voltage of six flooded cells: the trade table of 12.65/12.45/12.24/12.06/11.89 V at 100..0 % and the
// thermodynamic 0.2 mV/K a cell (Harned and Hamer 1935; from memory).
inline double rested(double charge, double celsius) {
  const double knots[] = {11.89, 12.06, 12.24, 12.45, 12.65};
  const int i = std::min(3, static_cast<int>(charge * 4));
  return knots[i] + (charge * 4 - i) * (knots[i + 1] - knots[i]) + 0.0012 * (celsius - 25);
}

// 10 % in 30 days at 25 degC, doubling each 10 K; per day.
inline double self_discharge(double celsius) { return -std::log(0.9) / 30 * std::exp2((celsius - 25) / 10); }

// An 85 Ah flooded battery in a garage, charged on the last of October, and its model.
struct BatteryRig {
  FakeSurroundings around{lead_acid_battery_kind()};
  LeadAcidBatteryModel model;
  std::set<int> chargers;

  BatteryRig() {
    around.time = charged_on;
    around.set_parameter("capacity", 85 * 3600);
    around.set_parameter("charged.date", to_seconds(charged_on));
  }
  void step() {
    model.update(around);
    around.end_step();
    if (const auto verdict = around.value("charger_verdict")) chargers.insert(static_cast<int>(*verdict));
  }
  void go(Instant to) {
    while (model.next_wake() <= to) {
      around.time = std::max(around.time, model.next_wake());
      step();
    }
    around.time = std::max(around.time, to);
  }
  void sensor(Instant at, double volts, double celsius) {
    go(at);
    around.place_reads(PlaceQuantity::temperature, celsius);
    around.read("voltage", volts);
    step();
  }
  void by_hand(Instant at, double volts, double celsius) {
    go(at);
    around.place_reads(PlaceQuantity::temperature, celsius);
    around.read("voltage", volts, {}, true);
    step();
  }
  // A steady voltage and temperature, a reading every half hour.
  Instant steady(Instant from, Span span, double volts, double celsius) {
    for (Span t{}; t <= span; t += 30 * one_minute) sensor(from + t, volts, celsius);
    return from + span;
  }
  void power(bool on) { around.read("shore_power", on ? 1 : 0); }
  double value(std::string_view quantity) const { return around.value(quantity).value_or(-999); }
  int charger() const { return static_cast<int>(around.value("charger_verdict").value_or(-1)); }
};

inline int word(ChargerVerdict v) { return static_cast<int>(v); }

}  // namespace overwinter
