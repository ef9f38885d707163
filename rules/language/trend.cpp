#include "rules/language/trend.h"

#include <algorithm>
#include <cmath>

namespace overwinter {

void Trend::add(std::int64_t bucket, double seconds_sum, double value_sum, double count) {
  const bool same = size_ > 0 && points_[size_ - 1].bucket == bucket;
  if (!same && size_ == capacity) return;
  if (!same) points_[size_++] = Point{bucket, 0, 0, 0};
  Point& point = points_[size_ - 1];
  point.seconds_sum += seconds_sum;
  point.value_sum += value_sum;
  point.count += count;
}

double Trend::spread() const { return size_ < 2 ? 0 : points_[size_ - 1].seconds() - points_[0].seconds(); }

std::optional<double> Trend::slope() const {
  std::array<double, capacity*(capacity - 1) / 2> slopes;  // all pairs; 40 KB of stack
  std::size_t count = 0;
  for (std::size_t j = 1; j < size_; ++j) {
    for (std::size_t i = 0; i < j; ++i) {
      const double seconds = points_[j].seconds() - points_[i].seconds();
      const double slope = seconds > 0 ? (points_[j].value() - points_[i].value()) / seconds : 0;
      if (seconds > 0 && std::isfinite(slope)) slopes[count++] = slope;
    }
  }
  if (count == 0) return std::nullopt;
  const auto begin = slopes.begin();
  const auto end = begin + static_cast<std::ptrdiff_t>(count);
  const auto middle = begin + static_cast<std::ptrdiff_t>(count / 2);
  std::nth_element(begin, middle, end);
  if (count % 2 == 1) return *middle;
  const double below = *std::max_element(begin, middle);
  return below + (*middle - below) / 2;
}

}  // namespace overwinter
