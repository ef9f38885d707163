// A robust slope through points.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>

namespace overwinter {

// Points of a window, in order of time; as many as a window has buckets, and some room.
class Trend {
 public:
  static constexpr std::size_t capacity = 100;

  // Adds to the last point when it is of the same bucket; past the capacity, points are not taken.
  void add(std::int64_t bucket, double seconds_sum, double value_sum, double count);

  std::size_t size() const { return size_; }
  // Seconds between the first and the last point.
  double spread() const;
  // Theil-Sen: the median of the slopes of all pairs, per second (Sen, Journal of the American Statistical Association
  // 63, 1968). Nothing for fewer than two instants.
  std::optional<double> slope() const;

 private:
  struct Point {
    std::int64_t bucket = 0;
    double seconds_sum = 0, value_sum = 0, count = 0;
    double seconds() const { return seconds_sum / count; }
    double value() const { return value_sum / count; }
  };
  std::array<Point, capacity> points_{};
  std::size_t size_ = 0;
};

}  // namespace overwinter
