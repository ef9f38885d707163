// Two-sided cumulative sum of standardized residuals: notices a lasting shift of about one sigma
// within some ten samples, where a limit on single residuals would not.
//
// Source: E. S. Page, "Continuous inspection schemes", Biometrika 41 (1954) 100-115; k = 0.5 and h = 5
// after D. C. Montgomery, Introduction to Statistical Quality Control (from memory): with normal,
// independent residuals one false alarm in about 465 samples, a shift of one sigma noticed after about
// 10. Residuals of weather models are not independent: false alarms are more frequent than that.
#pragma once

#include <cstdint>

namespace overwinter {

// The state, to be saved between samples.
struct Cusum {
  double above = 0;
  double below = 0;
};

enum class Shift : std::uint8_t { none, up, down };

struct CusumLimits {
  double slack = 0.5;   // k, in sigmas: half the shift to be noticed
  double decision = 5;  // h: alarm beyond it
};

// Takes in one residual divided by its sigma, and tells whether a sum now exceeds the decision limit
// (strictly). Sums go on growing; the caller clears the state when the shift has been dealt with. A
// residual that is not a finite number leaves the state as it was, and no shift is told.
Shift take_residual(Cusum& sums, double standardized, CusumLimits limits = {});

}  // namespace overwinter
