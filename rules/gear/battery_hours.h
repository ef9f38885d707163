// The voltage of a battery by the hour, and whether it rests. Voltages are those of a block of six cells.
#pragma once

#include <cstdint>
#include <deque>
#include <optional>
#include <vector>

#include "rules/gear/trend.h"
#include "rules/quantity/time.h"

namespace overwinter {

// The median of one hour's readings, with the battery's temperature then.
struct HourMedian {
  Instant at{};  // the middle of the hour
  double voltage = 0;
  std::optional<double> celsius;

  template <class A>
  void archive(A& a) {
    a(at, voltage, celsius);
  }
};

// So long without charge or load, and a battery is at rest. Source: a trade guide, "at least 6 h".
inline constexpr Span until_rest = 6 * one_hour;

class VoltageHours {
 public:
  // Readings of the sensor, in the order of their instants.
  void add(Instant at, double voltage, std::optional<double> celsius);
  // Ends the open hour when it is over; true if a new median came of it.
  bool close(Instant now);
  const std::deque<HourMedian>& hours() const { return hours_; }  // of the last two days
  // When the open hour ends; never without one.
  Instant next_close() const;
  // Of the readings of ten minutes, up to the newest.
  std::optional<double> now_voltage() const { return now_voltage_; }
  // Robust slope, V/s, over the medians from `since` on and the newest readings; they span two hours at least.
  std::optional<double> slope(Instant since) const;
  // Three standard errors of that slope, V/s. 0 where it is not known.
  double slope_noise(Instant since) const;
  // The highest median from `from` on and before `to`.
  std::optional<double> highest(Instant from, Instant to) const;
  // What two voltages differ by without a cause: the step of the meter, the smallest difference of two readings in a
  // row, from 10 mV, the last digit of common ones, up to 100 mV.
  double step() const;
  // What two medians differ by without a cause: that step, or three sigma of them.
  double noise() const;
  // The median of the medians of the last 24 h.
  std::optional<double> daily_median() const;
  // Whether it lies above that of the 24 h before by more than explains itself: a step of the meter, 1.2 mV for each
  // kelvin between them, and three standard errors of the medians of so many hours. A tenth of an ampere for a day
  // lifts 100 Ah by 2 % of charge, 16 mV (trade tables): what charges is seen above a step of 10 mV. Nothing where one
  // of the days has fewer than two medians.
  std::optional<bool> daily_median_rose() const;

  template <class A>
  void archive(A& a) {
    a(hours_, open_, open_hour_, open_celsius_, recent_, step_);
    if constexpr (A::reading) reckon_recent();
  }

 private:
  // One sigma of a median, by what they are off the line between their neighbors, so that a steady rise is none. 0
  // where it is not known.
  double sigma() const;
  void reckon_recent();
  void learn_step(double voltage);

  std::deque<HourMedian> hours_;
  std::vector<double> open_;
  std::int64_t open_hour_ = 0;  // hours since 1970
  std::optional<double> open_celsius_;
  std::deque<TrendPoint> recent_;      // of ten minutes
  std::optional<double> now_voltage_;  // their median
  std::optional<double> step_;         // the smallest difference of two readings in a row
};

// Nothing charges or loads it: for six hours every median is at most 12.9 V, and their robust slope is within 5 mV/h
// plus what the temperature explains (1.2 mV/K). Sensors that report more seldom than hourly: the last three medians,
// of six hours at least and a day at most; more seldom still: the last two, six hours apart at least, that rise by at
// most 30 mV and have no charge between them (charged: the end of the last one). Hours that began before `since` do not
// count: it was under load then. Nor does it rest where the newest median lies above the middle of these, or of the six
// hours before them, by more than 30 mV, 5 mV/h, noise and what the temperature explains: a weak sun lifts a deep
// battery by some 0.3 V and holds it there without a slope. Nothing where there are too few medians to say so, or they
// are old. Common practice, no source; the 6 h are a trade guide's ("at least 6 h").
std::optional<bool> voltage_rests(const std::deque<HourMedian>& hours, Instant now, Instant since = Instant{},
                                  Instant charged = Instant{}, double noise = 0);

}  // namespace overwinter
