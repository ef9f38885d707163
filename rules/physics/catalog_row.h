// How a physics function of typed arguments becomes a row of the catalog that takes plain numbers.
#pragma once

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <type_traits>
#include <utility>

#include "rules/physics/outcome.h"
#include "rules/quantity/function.h"
#include "rules/quantity/type.h"

namespace overwinter::catalog {

FunctionTable air_functions();
FunctionTable mechanical_functions();

// What rows of both tables take and answer.
inline constexpr Type temperature = Type::temperature();
inline constexpr Type share = Type::share();
inline constexpr Type absolute_pressure = Type::absolute();
inline constexpr Type density = Type::number(dimension::density);
inline constexpr Type duration = Type::duration();
inline constexpr FunctionParameter t{"t", temperature};

// A canonical number as the argument type of a model; of words the index, which the checker took from the row's list.
template <class T>
T argument(double value) {
  if constexpr (std::is_enum_v<T>) {
    return static_cast<T>(static_cast<std::uint8_t>(value));
  } else {
    return T(value);
  }
}

template <class T>
CallAnswer answer(const Outcome<T>& outcome) {
  if (!outcome) return {0, outcome.error().reason};
  double value = 0;
  if constexpr (std::is_same_v<T, double>) {
    value = *outcome;
  } else {
    value = outcome->value;
  }
  if (!std::isfinite(value)) return {0, "the answer is too large for a number"};
  return {value, nullptr};
}

template <auto model>
struct Call;
template <class T, class... Arguments, Outcome<T> (*model)(Arguments...)>
struct Call<model> {
  static CallAnswer of(const double* values) { return of(values, std::index_sequence_for<Arguments...>()); }

 private:
  template <std::size_t... i>
  static CallAnswer of(const double* values, std::index_sequence<i...>) {
    return answer(model(argument<Arguments>(values[i])...));
  }
};

// Adapts a model whose arguments are those of the row.
template <auto model>
inline constexpr auto calls = static_cast<CallAnswer (*)(const double*)>(&Call<model>::of);

template <std::size_t count>
constexpr Function row(std::string_view name, const FunctionParameter (&parameters)[count], Type result, Shown shown,
                       CallAnswer (*call)(const double*), std::string_view range, std::string_view source) {
  static_assert(count <= Function::max_parameters);
  Function function;
  function.name = name;
  for (std::size_t i = 0; i < count; ++i) function.parameters[i] = parameters[i];
  function.parameter_count = static_cast<std::uint8_t>(count);
  function.result = result;
  function.shown = shown;
  function.call = call;
  function.range = range;
  function.source = source;
  return function;
}

}  // namespace overwinter::catalog
