// The words of the language and its built-in functions.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string_view>

namespace overwinter {

enum class BuiltIn : std::uint8_t {
  mean,
  lowest,
  highest,
  change,
  slope,
  time_share,
  held_for,  // functions of history
  known,
  first_known,
  abs,
  min,
  max,
  absolute,
  gauge,  // a pressure of the other sort, by the station pressure
};

std::optional<BuiltIn> find_built_in(std::string_view name);
std::span<const std::string_view> built_in_names();

// if, then, else, and, or, not, true, false, now, in, place, name, detail: never units.
bool is_language_word(std::string_view word);

constexpr bool is_history(BuiltIn f) { return f <= BuiltIn::held_for; }

}  // namespace overwinter
