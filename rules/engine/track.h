// The recent past of one measured number, bounded: what it was at an instant, and behind a first-order lag.
// The newest reading is kept exactly; of older ones the last in each 5 min for a day, in each 30 min for 14 d.
#pragma once

#include <deque>
#include <optional>
#include <vector>

#include "rules/quantity/time.h"

namespace overwinter {

class Track {
 public:
  struct Reading {
    Instant at{};
    double value = 0;
    bool by_hand = false;

    template <class A>
    void archive(A& a) {
      a(at, value, by_hand);
    }
  };

  void add(const Reading& reading);
  // A sensor's readings after the instant are found to say nothing; what a person read stays.
  void forget_sensor_after(Instant instant);

  // The reading nearest to the instant, at most `reach` away; two neighbors up to 2 h apart are interpolated (the
  // answer's `at` is then the instant).
  std::optional<Reading> at(Instant instant, Span reach) const;

  // The lowest of the sensor's readings at from <= t < to; nothing where there is none.
  std::optional<double> lowest_between(Instant from, Instant to) const;

  // The value behind a first-order lag with time constant tau at the instant: readings joined by straight lines, the
  // last one held, at most `reach` long. Starts settled at the oldest reading of the last 8 tau.
  std::optional<Reading> lagged_at(Instant instant, Span tau, Span reach) const;
  // Asked for the present, it follows this lag from now on, reading by reading: then to ask costs one exponential.
  void follow_lag(Instant instant, Span tau);

  template <class A>
  void archive(A& a) {
    a(recent_, older_, lags_);
  }

 private:
  struct Lag {
    Span tau{};
    Instant at{};
    double air = 0, lagged = 0;

    template <class A>
    void archive(A& a) {
      a(tau, at, air, lagged);
    }
  };
  void age();
  void insert_late(const Reading& reading);
  std::optional<Lag> integrate(Instant instant, Span tau) const;
  static void advance(Lag& lag, const Reading& reading);

  std::deque<Reading> recent_;  // a day
  std::deque<Reading> older_;   // up to 14 d
  std::vector<Lag> lags_;
};

}  // namespace overwinter
