#include "rules/physics/knots.h"

#include <algorithm>

namespace overwinter {

double interpolate(std::span<const Knot> knots, double x) {
  if (!(x > knots.front().x)) return knots.front().y;
  if (!(x < knots.back().x)) return knots.back().y;
  const auto right = std::upper_bound(knots.begin(), knots.end(), x, [](double v, const Knot& k) { return v < k.x; });
  const auto left = right - 1;
  return left->y + (right->y - left->y) * (x - left->x) / (right->x - left->x);
}

}  // namespace overwinter
