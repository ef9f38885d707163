// When a slow change began: one line through readings, or one before and another after a change.
#pragma once

#include <cstddef>
#include <span>

#include "rules/physics/outcome.h"

namespace overwinter {

struct ChangePoint {
  std::size_t first_after = 0;  // the first reading after the change
  bool clear = false;           // two lines explain the readings clearly better than one
};

// Where two joined lines leave the least sum of absolute residuals: the first by Theil-Sen (robust_trend.h), the second
// from where the first ends, halfway between the readings, with the median slope from there; each through at least
// `fewest` readings. Clearly better: by the Bayesian information criterion for double exponential errors,
// 2 n ln(one / two) > 2 ln n for a slope and a time more (Schwarz, Ann. Stat. 6 (1978) 461, from memory), no sum taken
// less than that of readings with `noise`, their mean absolute error. No value where no two lines leave less than one.
// Times in ascending order; fewest >= 3, noise >= 0.
Outcome<ChangePoint> change_point(std::span<const double> times, std::span<const double> values, std::size_t fewest,
                                  double noise);

}  // namespace overwinter
