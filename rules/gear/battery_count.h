// The charge of a battery by its current (coulomb counting): from the last one that was judged, what flowed out and in
// is counted on, with an uncertainty that grows. It speaks where a battery works too often to rest.
#pragma once

#include <algorithm>
#include <cstdint>
#include <optional>

#include "rules/gear/battery_charge.h"
#include "rules/quantity/time.h"

namespace overwinter {

// A charge to count from. By the rested voltage, of a sensor or by hand, or by a hydrometer; full as a person told, or
// after 12 h of charging, or tapered: at charging voltage with no more than C/100 flowing; or where the count came to
// 100 % or 0 %.
struct ChargeStart {
  enum class By : std::uint8_t { rest, hand, told_full, charged, tapered, end, hydrometer };
  Instant at{};
  double charge = 1;      // share
  double voltage = 0;     // rested, of a block of six at 25 degC
  double plus_minus = 0;  // share, k = 2
  By by = By::rest;

  template <class A>
  void archive(A& a) {
    a(at, charge, voltage, plus_minus, by);
  }
};

// What was counted since the start; the gaps between readings of the current by the mean that was drawn before.
struct Counted {
  double out = 0;           // C
  double in = 0;            // C, at the terminals: not all of it stays
  double missed = 0;        // C, drawn in gaps
  double lost = 0;          // share, by self-discharge
  double sensor_error = 0;  // C, k = 2: the sensor's own, all the time
  double unsure = 0;        // C, k = 2: of gaps, of readings that stood for more than an hour, of before the start
  double watched = 0;       // s
  double unseen = 0;        // s

  template <class A>
  void archive(A& a) {
    a(out, in, missed, lost, sensor_error, unsure, watched, unseen);
  }
};

// k = 2, of what flowed out and in: an old battery holds 80 % of its nominal capacity (IEEE 450 replaces it there; from
// memory), and 85 % to all of what is put in stays.
inline constexpr double counted_share_unsure = 0.2;

// The battery's capacity must be known to all but started(), start() and stop().
class ChargeCount {
 public:
  bool started() const { return started_; }
  const ChargeStart& start() const { return start_; }
  Instant last() const { return std::max(start_.at, last_); }  // up to which it is counted
  void stop() { started_ = false; }
  // amperes: of the sensor now. The time since start.at was not watched; more than a day of it is too much to count.
  void restart(const ChargeStart& start, double amperes, double sensor_error, Instant now);
  // A reading of the sensor, A, positive into the battery, and its uncertainty, k = 2. It stands until the next, or
  // until the sensor is silent: then nothing is known from the last reading on.
  void read(const Battery& battery, Instant at, double amperes, double sensor_error, double self_discharge);
  void lose_sight() { sighted_ = false; }

  Counted counted(const Battery& battery, Instant now) const;
  double charge(const Battery& battery, Instant now) const;        // share, 0..1
  double voltage_at(const Battery& battery, double charge) const;  // rested, of a block of six at 25 degC
  double unsure(const Battery& battery, Instant now) const;        // share, k = 2, what may have been counted wrong
  double plus_minus(const Battery& battery, Instant now) const;    // share, k = 2, with that of the start
  // False when what may have been counted wrong is as large as the battery.
  bool says_something(const Battery& battery, Instant now) const;
  double mean_draw(const Battery& battery) const;  // A, net, over what was watched, a day at least; 0: it gains

  template <class A>
  void archive(A& a) {
    a(started_, start_, counted_, last_, amperes_, sensor_error_, sighted_);
  }

 private:
  double charge_after(const Battery& battery, const Counted& counted) const;  // unbounded
  void begin_at_end(const Battery& battery);

  bool started_ = false;
  ChargeStart start_;
  Counted counted_;
  Instant last_{};  // the reading up to which it is counted
  double amperes_ = 0, sensor_error_ = 0;
  bool sighted_ = false;
};

}  // namespace overwinter
