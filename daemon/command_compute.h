// overwinter compute: one expression without a site, as a calculator for the functions of physics.
#pragma once

#include <string>

#include "daemon/console.h"
#include "rules/quantity/time.h"

namespace overwinter {

struct ComputeOptions {
  std::string expression;
  std::string in;  // unit of the answer; empty: number and unit for a person
  bool json = false;
  Instant now{};  // what `now` means
};

// The number alone on console.out, at least seven significant digits. A gauge pressure stays gauge and an absolute one
// absolute. exit_usage: a unit that the answer cannot have; exit_no: no expression, or no value (the reason on err).
int compute(const ComputeOptions& options, const Console& console);

// At least seven significant digits, at most twelve; the decimal point is a point.
std::string computed_number(double value);

}  // namespace overwinter
