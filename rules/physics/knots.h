// Published tables as straight lines between knots.
#pragma once

#include <algorithm>
#include <span>

namespace overwinter {

struct Knot {
  double x;
  double y;
};

// y at x by linear interpolation, of rows whose x and y the two functions tell. Rows ascend strictly in x and there are
// at least two; before the first and after the last row the answer is that row's y, so a caller that wants "no value"
// there checks its range first.
template <class Row, class X, class Y>
double interpolate(std::span<const Row> rows, double x, X x_of, Y y_of) {
  if (!(x > x_of(rows.front()))) return y_of(rows.front());
  if (!(x < x_of(rows.back()))) return y_of(rows.back());
  const auto right =
      std::upper_bound(rows.begin(), rows.end(), x, [&](double v, const Row& row) { return v < x_of(row); });
  const Row& a = *(right - 1);
  const Row& b = *right;
  return y_of(a) + (y_of(b) - y_of(a)) * (x - x_of(a)) / (x_of(b) - x_of(a));
}

inline double interpolate(std::span<const Knot> knots, double x) {
  return interpolate(
      knots, x, [](const Knot& k) { return k.x; }, [](const Knot& k) { return k.y; });
}

}  // namespace overwinter
