// One run of a generator as its readings tell it, and what has been run in all. Plain state, saved with the model.
//
// A run is continuous running; gaps of less than a minute do not end it. Between two readings what held at the first is
// taken to hold. A person's readings say what was when they looked: nothing is added after the last of them.
#pragma once

#include <cstdint>
#include <optional>

#include "rules/physics/generator_exercise.h"
#include "rules/quantity/time.h"

namespace overwinter {

inline constexpr Span run_gap = one_minute;

struct GeneratorRun {
  bool open = false;     // a run is under way, or in its gap
  bool running = false;  // as last told
  bool by_hand = false;  // told by a person
  Instant started{};
  Instant stopped = never;  // since when it stands still inside an open run
  Instant counted_to{};     // time is added up to here
  Span ran{}, loaded{}, hot{};
  bool load_known = false, oil_known = false;  // at any time in this run
  bool is_loaded = false, is_hot = false;      // as last told
  Span total{};                                // of all runs
  Span since_oil_change{};

  template <class A>
  void archive(A& a) {
    a(open, running, by_hand, started, stopped, counted_to, ran, loaded, hot, load_known, oil_known, is_loaded, is_hot,
      total, since_oil_change);
  }

  // The gap has been too long by now: what comes next is another run.
  bool is_over(Instant now) const { return open && stopped != never && now >= stopped + run_gap; }
  void close() { open = running = false; }

  // It runs, or stands, since `at`. Starts a run where none is open.
  void tell_running(bool runs, bool told_by_hand, Instant at);
  // Adds the time from counted_to to `to`.
  void count(Instant to);

  ExerciseRun exercise() const;
  // The instant at which the present run comes to count, if nothing changes; never where that takes more.
  Instant counts_at(const ExerciseProfile& profile) const;
};

}  // namespace overwinter
