// What + - * / and comparisons mean for each pair of types: points and differences of temperature, gauge and absolute
// pressure and literals that adapt, instants and durations, words.
#pragma once

#include <string>

#include "rules/quantity/type.h"
#include "rules/result.h"

namespace overwinter {

// Faults of these carry no place.

// a + b, or a - b.
Result<Type> sum_type(const Type& a, const Type& b, bool subtract);
Result<Type> product_type(const Type& a, const Type& b);
Result<Type> quotient_type(const Type& a, const Type& b);
// -x
Result<Type> negative_type(const Type& x);
// One type for values that are compared, or of which one is chosen (if, min, max, first_known).
Result<Type> common_type(const Type& a, const Type& b);
// Nothing when an argument of type `argument` may stand for a parameter; words are not looked at.
bool accepts(const Type& parameter, const Type& argument);
// How to turn an argument into what the parameter wants; may be empty.
std::string how_to_turn(const Type& argument, const Type& parameter);

constexpr bool is_pressure(const Type& t) {
  return t.dimension == dimension::pressure &&
         (t.sort == Sort::number || t.sort == Sort::gauge || t.sort == Sort::absolute);
}
constexpr bool same_words(const Type& a, const Type& b) {
  return a.words.data() == b.words.data() && a.words.size() == b.words.size();
}

}  // namespace overwinter
