// Published tables as straight lines between knots.
#pragma once

#include <span>

namespace overwinter {

struct Knot {
  double x;
  double y;
};

// y at x by linear interpolation. Knots ascend strictly in x and there are at least two; before the first and after the
// last knot the answer is that knot's y, so a caller that wants "no value" there checks its range first.
double interpolate(std::span<const Knot> knots, double x);

}  // namespace overwinter
