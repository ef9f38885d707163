#include "rules/physics/change_point.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "rules/physics/robust_trend.h"

namespace overwinter {
namespace {

double sum_of_residuals(const RobustTrend& line, std::span<const double> times, std::span<const double> values) {
  double sum = 0;
  for (std::size_t i = 0; i < times.size(); ++i) sum += std::abs(values[i] - line.intercept - line.slope * times[i]);
  return sum;
}

// The line that begins where `before` ends, halfway to the first of these readings.
Outcome<RobustTrend> joined_line(const RobustTrend& before, double last_before, std::span<const double> times,
                                 std::span<const double> values) {
  const double joint = last_before + (times.front() - last_before) / 2;
  const double there = before.intercept + before.slope * joint;
  std::vector<double> slopes;
  for (std::size_t i = 0; i < times.size(); ++i) slopes.push_back((values[i] - there) / (times[i] - joint));
  const auto slope = median(slopes);
  if (!slope) return tl::unexpected(slope.error());
  return RobustTrend{*slope, there - *slope * joint, 0};
}

}  // namespace

Outcome<ChangePoint> change_point(std::span<const double> times, std::span<const double> values, std::size_t fewest,
                                  double noise) {
  const auto line = robust_trend(times, values);
  if (!line) return tl::unexpected(line.error());
  if (fewest < 3 || !(noise >= 0)) return no_value("a line needs three readings, and an error that is not negative");
  const double one = sum_of_residuals(*line, times, values);
  double two = one;
  ChangePoint best;
  for (std::size_t i = fewest; i + fewest <= times.size(); ++i) {
    const auto before = robust_trend(times.first(i), values.first(i));
    if (!before) continue;
    const auto after = joined_line(*before, times[i - 1], times.subspan(i), values.subspan(i));
    if (!after) continue;
    const double sum = sum_of_residuals(*before, times.first(i), values.first(i)) +
                       sum_of_residuals(*after, times.subspan(i), values.subspan(i));
    if (sum >= two) continue;
    two = sum;
    best.first_after = i;
  }
  if (best.first_after == 0) return no_value("no two lines explain the readings better than one");
  constexpr double more_parameters = 2;
  const double n = static_cast<double>(times.size());
  const double least = n * noise;
  best.clear = one > least && 2 * n * std::log(one / std::max(two, least)) > more_parameters * std::log(n);
  return best;
}

}  // namespace overwinter
