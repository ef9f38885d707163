// Temperature of an unheated room, learned from its own history: what to expect an hour ahead, and how
// slowly the room follows the outdoors.
//
// First-order RC model with sun, in steps of one hour (usual in building identification):
//   T_in[k+1] = T_in[k] + x (T_out[k] - T_in[k]) + b I[k]/100,   x = 1 - exp(-1 h/tau)
// x and b are identified by recursive least squares with forgetting: L. Ljung, System Identification,
// 2nd ed. 1999, ch. 11 (from memory). Accuracy of tau on simulated readings rounded to 0.1 K: 1 %; on
// real rooms expect one sigma of 10..20 % (estimate). Within minutes of a change a second-order model
// would be better.
#pragma once

#include <cstdint>

#include "rules/physics/outcome.h"
#include "rules/quantity/strong.h"

namespace overwinter {

using Irradiance = Amount<struct IrradianceTag>;  // W/m2, on a horizontal surface

// What has been learned; plain data, to be saved and loaded by the caller.
struct RoomModel {
  double exchange = 0.1;          // x, share of the difference made up in an hour
  double solar_gain = 0;          // b, K per hour and 100 W/m2
  double spread_exchange = 1000;  // the covariance matrix of x and b before noise
  double spread_both = 0;
  double spread_gain = 1000;
  double error_variance = 0;  // K2, of the forecast one hour ahead, exponentially weighted
  std::uint32_t hours = 0;    // updates so far

  bool operator==(const RoomModel&) const = default;
};

// What learning can lead to: x in 0.01..0.9, and numbers that are finite. For a model that was saved.
bool plausible(const RoomModel& room);

// Readings at the beginning of an hour.
struct RoomHour {
  Temperature inside;
  Temperature outside;
  Irradiance sun{0};  // 0 where there is no sensor: then learn at night only
};

struct RoomLearning {
  double forgetting = 0.998;  // an hour, memory of 500 h (common practice, no source); 1 never forgets
  bool guarded = true;        // the guards below; off only to test the bare algorithm
};

enum class Lesson : std::uint8_t {
  learned,
  too_little_drive,  // |T_out - T_in| <= 1 K and sun <= 50 W/m2: says nothing about the room
  outlier,           // error beyond 4 sigma: a door, a heater, a bad reading
  unusable,          // a reading is not a finite number
};

struct RoomUpdate {
  Lesson lesson = Lesson::unusable;
  TemperatureStep error;  // measured minus expected, before learning
};

// Takes in one hour: readings at its beginning and the temperature at its end. The caller leaves out
// hours with a missing end. Guards: little drive or an outlier (once 24 h are learned) does not change
// the parameters; x stays in 0.01..0.9; the spreads are capped, so that long calm weather cannot wind
// them up. An outlier counts in the error variance as one of 4 sigma, so a lasting change of the room
// is learned after some hours.
RoomUpdate learn_hour(RoomModel& room, const RoomHour& start, Temperature inside_at_end, RoomLearning learning = {});

// Temperature expected one hour after the readings.
Temperature expected_after_hour(const RoomModel& room, const RoomHour& start);

// tau = -1 h/ln(1 - x). No value before 24 h are learned.
Outcome<Seconds> time_constant(const RoomModel& room);

}  // namespace overwinter
