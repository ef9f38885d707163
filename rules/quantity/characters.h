// Characters of a text: how many a person sees, and whether two texts differ by more than case.
#pragma once

#include <algorithm>
#include <cstddef>
#include <string_view>

namespace overwinter {

// Code points of UTF-8, each one once.
inline std::size_t characters(std::string_view text) {
  return static_cast<std::size_t>(
      std::ranges::count_if(text, [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
}

// Of ASCII; every other byte is itself.
inline char lower_case(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

inline bool same_in_any_case(std::string_view a, std::string_view b) {
  return std::ranges::equal(a, b, {}, lower_case, lower_case);
}

}  // namespace overwinter
