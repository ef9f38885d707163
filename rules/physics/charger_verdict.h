// Does the charger work, as seen from the battery's terminals.
// A working charger shows at least 13.2 V (2.20 V a cell) at any temperature, a rested full battery at most 12.9 V, and
// surface charge takes a day to decay. All thresholds are common practice, no source.
#pragma once

#include <cstdint>
#include <optional>

#include "rules/quantity/strong.h"

namespace overwinter {

enum class ChargerVerdict : std::uint8_t {
  no_power,
  too_early,
  charging,
  failed,
  waiting,
  not_rising,
  overvoltage,
  unknown,
};

// What is known of a 12 V block and its charger. Leave out what is not.
struct ChargerWatch {
  std::optional<bool> shore_power{};
  Seconds shore_power_for{0};                // how long it has been on
  std::optional<Voltage> voltage{};          // median of ten minutes
  std::optional<Voltage> daily_median{};     // of the last 24 h; what a pump draws for an hour does not move it
  std::optional<Voltage> rise_per_hour{};    // robust slope over at least two hours
  Voltage rise_of_noise{0};                  // what noise alone may make of rise_per_hour
  std::optional<Voltage> rise_in_12_h{};     // the same over the last 12 h; left out: rise_per_hour stands for it
  std::optional<Voltage> rise_of_days{};     // and per hour over a day or two, where rise_per_hour is not known
  std::optional<Voltage> highest_before{};   // of a day with power, before the hours of rise_per_hour; and a step
  std::optional<Voltage> last_rested{};      // the last rested voltage before the power came
  std::optional<Temperature> temperature{};  // of the battery
  bool takes_current = false;                // a current beyond C/100 flows into it
  Voltage sleeps_until{12.6};                // some chargers rest above this; ours to wait for
  Seconds idle_for{0};                       // how long the verdict has been waiting or not_rising without a break
  // Whether the daily median is above the one a day before by more than noise and temperature explain; left out: there
  // are not two days to compare.
  std::optional<bool> daily_median_rose{};
};

// The first that holds:
//   unknown      no voltage, or above 15.0 V without a temperature to judge it by
//   overvoltage  V > min(15.8 V, 15.0 V + 0.03 V/K max(0, 25 degC - T)), whatever charges
//   unknown      whether there is shore power
//   no_power     shore power is off
//   charging     V >= 13.2 V; or a current flows in; or rising by 10 mV/h or more (a deep battery on a small charger)
//                and by more than noise makes, and above highest_before: after a load it regains by itself what it had
//   too_early    shore power on for less than 2 h
//   unknown      no slope, and no two days to compare: a sensor that reports seldom is judged by the days alone, and
//                by the slope of them
//   failed       under 12.5 V, and under sleeps_until, with shore power on for over 12 h, and not rising: by 1 mV/h, or
//                by daily medians
//   unknown      no last rested voltage
//   failed       idle for 24 h in which the daily median did not rise (without rise_per_hour: the days), under
//                sleeps_until
//   waiting      V at most 50 mV above the last rested voltage: the charger may sleep
//   not_rising   above it: surface charge, or a loaded charger
// "Under" is said of the voltage and of its daily median: both lie there. A fall alone is no failure: 10 K of a cold
// night are 1 mV/h, and what a charger that sleeps lets fall stays above sleeps_until.
ChargerVerdict charger_verdict(const ChargerWatch& watch);

}  // namespace overwinter
