// Straight lines through noisy readings that a few bad ones cannot bend, and how far off their slopes may be.
// Times and values are plain numbers: the caller chooses the units, and the slope is in value units per time unit.
// Every answer is "no value" where a number is not finite, where the spans differ in length, or above most_points.
#pragma once

#include <cstddef>
#include <span>

#include "rules/physics/outcome.h"

namespace overwinter {

inline constexpr std::size_t most_points = 400;  // all pairs are compared: 80 000 slopes at most

struct RobustTrend {
  double slope = 0;
  double intercept = 0;     // value at time 0
  double robust_sigma = 0;  // scatter about the line, comparable with a standard deviation
};

// The middle value; of an even count the mean of the two middle ones. At least one value.
Outcome<double> median(std::span<const double> values);

// Theil-Sen: slope = median of the slopes of all pairs at different times; intercept = median of value - slope time;
// sigma = 1.4826 median |residual|. At least two different times; order does not matter. Tolerates 29 % bad points.
// Source: Theil 1950; Sen, J. Am. Stat. Assoc. 63 (1968) 1379. 1.4826 makes the median absolute deviation consistent
// for normal errors.
Outcome<RobustTrend> robust_trend(std::span<const double> times, std::span<const double> values);

// Sum of the squared differences of times from their mean: independent errors of sigma each give a least squares slope
// of standard error sigma / sqrt(spread) (textbook). Theil-Sen's is about 5 % larger for normal errors (Sen 1968).
double squared_spread(std::span<const double> times);

// One sigma of normal errors, by their median absolute deviation (textbook).
inline constexpr double sigma_of_median_deviation = 1.4826;

// Standard error of the same slope where errors last: two of them, a time d apart, correlate by exp(-d / memory), as
// weather's do. Propagation of errors; for many readings a step apart it is that of independent errors in
// n (1 - r) / (1 + r) readings, r = exp(-step / memory): the effective sample size of a first-order autoregressive
// series (Bayley and Hammersley, J. R. Stat. Soc. Suppl. 8 (1946) 184; von Storch and Zwiers, Statistical Analysis in
// Climate Research, 1999; both from memory). At least two different times; memory > 0, sigma >= 0.
Outcome<double> slope_standard_error_of_lasting(double sigma, double memory, std::span<const double> times);

}  // namespace overwinter
