// The state of one call of a function of history: bounded memory of x over the last d.
// At most 96 buckets of d/96 (change() reaches d/4 further back: 121 buckets); windows up to 2 h keep raw readings, at
// most 512. An answer may be off by one bucket.
#pragma once

#include <deque>
#include <optional>

#include "rules/language/program.h"
#include "rules/quantity/time.h"

namespace overwinter {

class Window {
 public:
  // One that begins at `at` in the middle of a rule's life, as when its sensor is another one: what was before is not
  // known. A new Window takes it that nothing was true before.
  static Window begun_anew(const HistoryCall& call, Instant at);

  // Tells x at `now` and answers the call. `read`: when a reading that x rests on, and that arrived in this step, was
  // taken, not after `now`; never: none arrived. `now` never goes back. Between two calls x is taken as held. known x
  // becoming unknown is told by a call with an unknown cell.
  Cell feed(const HistoryCall& call, Instant now, Cell x, Instant read);

  // held_for: the instant at which it turns true if nothing changes; never when not running or true already.
  Instant deadline(const HistoryCall& call) const;

  // A stretch of x: one raw reading and how long it held, or one bucket. All instants lie in the same bucket but for
  // the end of a raw reading.
  struct Segment {
    Instant start{}, end{};      // the stretch; x need not be known in all of it
    std::uint32_t readings = 0;  // that arrived in it; the next six lines are about them
    Instant first_at{}, last_at{};
    double first = 0, last = 0;
    double lowest = 0, highest = 0;
    double sum = 0;
    double time_sum = 0;   // seconds since start
    bool by_hand = false;  // its last reading
    double integral = 0;   // of x over known time, x times seconds
    Span known{};          // how long x was known

    template <class A>
    void archive(A& a) {
      a(start, end, readings, first_at, last_at, first, last, lowest, highest, sum, time_sum, by_hand, integral, known);
    }
    bool plausible() const;
  };

  template <class A>
  void archive(A& a) {
    a(segments_, current_, current_since_, true_since_, unknown_since_);
    if constexpr (A::reading) {
      if (!plausible()) {
        *this = Window();
        a.fail();
      }
      known_ = known_of_all();
      whole_.reset();
    }
  }

  std::size_t size() const { return segments_.size(); }

 private:
  struct Held {
    double value = 0;
    bool known = false, by_hand = false;
    template <class A>
    void archive(A& a) {
      a(value, known, by_hand);
    }
  };

  Cell feed_held_for(const HistoryCall& call, Instant now, Cell c, Instant read);
  Instant burst_end() const;  // held_for
  void hold_until(const HistoryCall& call, Instant now);
  void take_back(Instant from);
  void take_reading(const HistoryCall& call, Instant now, Cell x);
  void forget(const HistoryCall& call, Instant now);
  void merge_into_buckets(Span width);
  void open(Instant at);
  void forget_all();
  bool plausible() const;
  Span known_of_all() const;

  // How long x was known after `from`, in seconds; `from` is not before the window.
  double known_after(Instant from) const;
  double integral_after(Instant from);
  double integral_of_whole();
  Cell answer(const HistoryCall& call, Instant now);
  double mean(double of_sums) const;
  Cell extreme(Instant from, bool highest);
  Cell change(Instant then, Span reach) const;

  // held_for: one, where it began anew and c was true since, for less than d: for how long is not known.
  std::deque<Segment> segments_;
  Span known_{};                   // of all segments: asked at each reading, so not summed anew
  std::optional<double> whole_;    // integral of all segments but the first and the last; none: to be summed
  Held current_;                   // held_for: its last answer, also while c is unknown
  Instant current_since_{};        // held_for: when the last late reading arrived; Instant{}: one in time came since
  Instant true_since_ = never;     // held_for
  Instant unknown_since_ = never;  // held_for: an unknown stretch longer than stale_after breaks it
};

}  // namespace overwinter
