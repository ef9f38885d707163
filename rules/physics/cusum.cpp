#include "rules/physics/cusum.h"

#include <algorithm>
#include <cmath>

namespace overwinter {

Shift take_residual(Cusum& sums, double standardized, CusumLimits limits) {
  if (!std::isfinite(standardized)) return Shift::none;
  sums.above = std::max(0.0, sums.above + standardized - limits.slack);
  sums.below = std::max(0.0, sums.below - standardized - limits.slack);
  if (sums.above > limits.decision && sums.above >= sums.below) return Shift::up;
  if (sums.below > limits.decision) return Shift::down;
  return Shift::none;
}

}  // namespace overwinter
