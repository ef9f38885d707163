#include "rules/physics/robust_trend.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace overwinter {
namespace {

constexpr const char* one_time = "a trend needs readings at two different times";

// Finite, and small enough that no difference or product of two overflows.
bool finite(std::span<const double> values) {
  return std::all_of(values.begin(), values.end(), [](double v) { return std::abs(v) <= 1e100; });
}

// Why these readings have no trend, or null.
const char* unusable(std::span<const double> times, std::span<const double> values) {
  if (times.size() != values.size()) return "there are not as many times as values";
  if (times.size() > most_points) return "there are more than 400 readings: take daily values";
  if (!finite(times) || !finite(values)) return "a reading is not a finite number";
  return nullptr;
}

// Reorders its argument, which must not be empty.
double median_in_place(std::span<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  constexpr std::size_t few = 16;  // of which a sort is quicker
  if (values.size() <= few) {
    std::sort(values.begin(), values.end());
  } else {
    std::nth_element(values.begin(), middle, values.end());
  }
  if (values.size() % 2 == 1) return *middle;
  const double below = *std::max_element(values.begin(), middle);
  return below + (*middle - below) / 2;
}

double mean_of(std::span<const double> values) {
  double mean = 0;
  for (const double v : values) mean += v / static_cast<double>(values.size());
  return mean;
}

}  // namespace

Outcome<double> median(std::span<const double> values) {
  if (values.empty()) return no_value("there is no reading to take the median of");
  if (!finite(values)) return no_value("a reading is not a finite number");
  std::array<double, 16> few{};  // needs no memory of its own
  std::vector<double> many;
  if (values.size() > few.size()) many.resize(values.size());
  const std::span<double> copy = many.empty() ? std::span(few).first(values.size()) : std::span(many);
  std::copy(values.begin(), values.end(), copy.begin());
  return median_in_place(copy);
}

Outcome<RobustTrend> robust_trend(std::span<const double> times, std::span<const double> values) {
  if (const char* why = unusable(times, values)) return no_value(why);
  const std::size_t n = times.size();
  std::vector<double> work;
  work.reserve(n < 2 ? 0 : n * (n - 1) / 2);
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = i + 1; j < n; ++j) {
      if (times[i] != times[j]) work.push_back((values[j] - values[i]) / (times[j] - times[i]));
    }
  }
  if (work.empty()) return no_value(one_time);

  RobustTrend trend;
  trend.slope = median_in_place(work);
  if (!(std::abs(trend.slope) <= 1e100)) return no_value(one_time);  // times apart by next to nothing
  work.resize(n);
  for (std::size_t i = 0; i < n; ++i) work[i] = values[i] - trend.slope * times[i];
  trend.intercept = median_in_place(work);
  for (std::size_t i = 0; i < n; ++i) work[i] = std::abs(values[i] - trend.slope * times[i] - trend.intercept);
  trend.robust_sigma = sigma_of_median_deviation * median_in_place(work);
  return trend;
}

double squared_spread(std::span<const double> times) {
  const double mean = mean_of(times);
  double spread = 0;
  for (const double t : times) spread += (t - mean) * (t - mean);
  return spread;
}

Outcome<double> slope_standard_error_of_lasting(double sigma, double memory, std::span<const double> times) {
  if (const char* why = unusable(times, times)) return no_value(why);
  if (times.empty()) return no_value(one_time);
  if (!(memory > 0) || !std::isfinite(memory)) return no_value("the memory of errors must be above zero");
  if (!(sigma >= 0) || !std::isfinite(sigma)) return no_value("the error of a reading must not be negative");
  const double mean = mean_of(times);
  const double spread = squared_spread(times);
  double together = 0;
  for (const double a : times) {
    for (const double b : times) together += (a - mean) * (b - mean) * std::exp(-std::abs(a - b) / memory);
  }
  // Equal times can leave a rest of rounding in the spread.
  const auto [first, last] = std::minmax_element(times.begin(), times.end());
  if (*first == *last || !(spread > 0)) return no_value(one_time);
  const double error = sigma * std::sqrt(std::max(0.0, together)) / spread;
  if (!std::isfinite(error)) return no_value(one_time);
  return error;
}

}  // namespace overwinter
