// A function that conditions may call, as plain data. physics/catalog fills a table of these and the language's checker
// takes it; so physics and language do not see each other.
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <string_view>

#include "rules/quantity/print.h"
#include "rules/quantity/type.h"

namespace overwinter {

// The answer in the canonical unit of the function's type, or why there is none (a static sentence).
struct CallAnswer {
  double value = 0;
  const char* no_value = nullptr;
};

struct FunctionParameter {
  std::string_view name;
  Type
      type;  // a word without a list of words: a code of digits in quotes, told as 10000 for each digit plus its number
  Shown shown = Shown::by_dimension;  // percent: a share that a bare number above 1 cannot mean
};

struct Function {
  static constexpr std::size_t max_parameters = 8;

  std::string_view name;
  std::array<FunctionParameter, max_parameters> parameters{};
  std::uint8_t parameter_count = 0;
  Type result;
  Shown shown = Shown::by_dimension;
  // Arguments in canonical units, finite, in order. Pure; never answers NaN or infinity.
  CallAnswer (*call)(const double* arguments) = nullptr;
  std::string_view range;   // in words, for the reference page
  std::string_view source;  // publication with equation
};

using FunctionTable = std::span<const Function>;

}  // namespace overwinter
