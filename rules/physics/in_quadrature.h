// The combined uncertainty of what does not depend on one another: the root of the sum of squares.
#pragma once

#include <cmath>

namespace overwinter {

// In one unit, each below 1e150 (no square overflows). Source: JCGM 100:2008 (GUM), 5.1.2.
inline double in_quadrature(double a, double b) { return std::sqrt(a * a + b * b); }
inline double in_quadrature(double a, double b, double c) { return std::sqrt(a * a + b * b + c * c); }

}  // namespace overwinter
