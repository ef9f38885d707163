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
  std::optional<Voltage> rise_per_hour{};    // robust slope over at least two hours
  std::optional<Voltage> last_rested{};      // the last rested voltage before the power came
  std::optional<Temperature> temperature{};  // of the battery
  Voltage sleeps_until{12.6};                // some chargers rest above this; ours to wait for
  Seconds idle_for{0};                       // how long the verdict has been waiting or not_rising without a break
  bool daily_median_rose = false;            // the latest daily median is above the one a day before
};

// The first that holds:
//   unknown      no voltage, or above 15.0 V without a temperature to judge it by
//   overvoltage  V > min(15.8 V, 15.0 V + 0.03 V/K max(0, 25 degC - T)), whatever charges
//   unknown      whether there is shore power
//   no_power     shore power is off
//   charging     V >= 13.2 V, or rising by 10 mV/h or more (a deep battery on a small charger)
//   too_early    shore power on for less than 2 h
//   unknown      no slope
//   failed       V < 12.5 V with shore power on for over 12 h and not rising (less than 1 mV/h)
//   unknown      no last rested voltage
//   at most 50 mV above the last rested voltage:
//     failed     falling by 1 mV/h or more; or idle for 24 h, the daily median did not rise, and V < sleeps_until
//     waiting    otherwise: the charger may sleep
//   above it, surface charge or a loaded charger:
//     failed     idle for 24 h, V < 12.9 V, and neither slope nor daily median rises
//     not_rising otherwise
ChargerVerdict charger_verdict(const ChargerWatch& watch);

}  // namespace overwinter
