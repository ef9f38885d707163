// Slow changes: one value a local day and source, a robust line through them, and sums that grow as time passes.
// Sources are never mixed: a model keeps one series a source.
#pragma once

#include <cstddef>
#include <cstdint>
#include <deque>
#include <optional>
#include <span>
#include <vector>

#include "rules/quantity/time.h"

namespace overwinter {

inline constexpr std::size_t most_trend_values = 92;  // a quarter of a year of daily values

struct TrendPoint {
  Instant at{};
  double value = 0;

  bool operator==(const TrendPoint&) const = default;
  template <class A>
  void archive(A& a) {
    a(at, value);
  }
};

// When a reading was, by the local calendar: worked out once for all series that it enters.
struct TrendTime {
  Instant at{};
  std::int32_t day = 0;  // local_day
  Instant dawn = never;  // 05:00 local of that day, where the reading lies within two hours of it
};
TrendTime trend_time(Instant at, const TimeZone& zone);

// The daily values of one sensor: the reading nearest to 05:00 local, where one lies within two hours of it; else the
// median of the day's readings, known when the day is over. Before dawn nothing is in the sun and the air inside has
// followed the air outside.
class DailySeries {
 public:
  // In any order; a back-dated reading gives its day a value, or a better one.
  void add(const TrendTime& when, double value);
  void add(Instant at, double value, const TimeZone& zone) { add(trend_time(at, zone), value); }
  // The values known at `now` from `since` on, oldest first. Ends the days that are over.
  std::vector<TrendPoint> values(Instant now, Instant since, const TimeZone& zone);
  // Forgets what was before `from`, and takes no reading of that time any more.
  void restart(Instant from);

  template <class A>
  void archive(A& a) {
    a(days_, open_, open_day_, from_);
  }

 private:
  struct Day {
    std::int32_t day = 0;
    bool near_dawn = false;
    bool has_value = false;
    TrendPoint point;

    template <class A>
    void archive(A& a) {
      a(day, near_dawn, has_value, point);
    }
  };
  Day& day_of(std::int32_t day);
  void close_open_day();

  std::deque<Day> days_;          // by day
  std::vector<TrendPoint> open_;  // of the newest day, thinned to one in a quarter of an hour
  std::int32_t open_day_ = 0;
  Instant from_{};
};

// A trend does not bridge a longer silence: what stands after the last such gap.
inline constexpr Span longest_trend_gap = 7 * one_day;
std::vector<TrendPoint> after_last_gap(std::vector<TrendPoint> points);

// When a day's value is sure to be there: 07:00 local. Trends are computed anew then.
Instant next_trend_time(Instant now, const TimeZone& zone);

// A line through values of one source.
struct TrendLine {
  double slope = 0;           // per second
  double standard_error = 0;  // per second, one sigma
  double sigma = 0;           // scatter about the line, one sigma
  double value_at_end = 0;    // of the line, at the last point
  Instant first{}, last{};
  std::size_t count = 0;

  template <class A>
  void archive(A& a) {
    a(slope, standard_error, sigma, value_at_end, first, last, count);
  }
};

// One-sigma errors that a value has at least, however little the values scatter: readings that a coarse display rounds
// to the same number are not exact.
struct TrendErrors {
  double independent = 0;  // from value to value
  double lasting = 0;      // the weather's, for days: its correlation falls to 1/e within weather_memory

  double both() const;
};
inline constexpr Span weather_memory = 3 * one_day;  // of fronts and of the air that they bring (estimate)

// Theil-Sen (rules/physics/robust_trend.h). The standard error is that of a straight line through points at these
// times: what of the scatter is independent by sigma / sqrt(sum (t - mean t)^2) (textbook), what lasts by
// slope_standard_error_of_lasting. Nothing below three points or within one instant.
std::optional<TrendLine> trend_line(std::span<const TrendPoint> points, const TrendErrors& errors);

struct LineSinceChange {
  TrendLine line;
  bool clear = false;  // one line through all does not explain them as well
};
// The line since the slope most likely changed (rules/physics/change_point.h), through at least `fewest` points.
std::optional<LineSinceChange> line_since_change(std::span<const TrendPoint> points, const TrendErrors& errors,
                                                 std::size_t fewest);

// A sum that grows as time passes (seepage, self-discharge), with its value of each day kept for readings that come
// late.
class RunningSum {
 public:
  void restart(Instant at, double value);
  void advance(Instant at, double value);  // at: not before the last
  bool started() const { return !points_.empty(); }
  const TrendPoint& last() const { return points_.back(); }
  // Between two kept points by a straight line; before the first and after the last, that one's.
  double at(Instant instant) const;

  template <class A>
  void archive(A& a) {
    a(points_);
  }

 private:
  std::deque<TrendPoint> points_;
};

}  // namespace overwinter
