// The words for yes and no, by a sensor and by a person alike.
#pragma once

#include <algorithm>
#include <array>
#include <optional>
#include <string_view>

#include "rules/quantity/characters.h"

namespace overwinter {

// In any case.
inline constexpr std::array<std::string_view, 6> words_for_yes = {"true", "on", "yes", "1", "open", "up"};
inline constexpr std::array<std::string_view, 7> words_for_no = {"false", "off", "no", "0", "closed", "shut", "down"};

inline bool says_yes(std::string_view text) {
  return std::ranges::any_of(words_for_yes, [text](std::string_view word) { return same_in_any_case(word, text); });
}

inline bool says_no(std::string_view text) {
  return std::ranges::any_of(words_for_no, [text](std::string_view word) { return same_in_any_case(word, text); });
}

// nullopt: neither.
inline std::optional<bool> yes_or_no(std::string_view text) {
  if (says_yes(text)) return true;
  if (says_no(text)) return false;
  return std::nullopt;
}

// As some devices and people say it: 1 or 0, and no other number.
inline std::optional<bool> yes_or_no(double number) {
  if (number == 1) return true;
  if (number == 0) return false;
  return std::nullopt;
}

}  // namespace overwinter
