// The range check that opens every physics function with a range. NaN is within nothing.
#pragma once

#include "rules/quantity/strong.h"

namespace overwinter {

constexpr bool within(double x, double low, double high) { return x >= low && x <= high; }

template <class Quantity>
constexpr bool within(Quantity x, Quantity low, Quantity high) {
  return within(x.value, low.value, high.value);
}

}  // namespace overwinter
