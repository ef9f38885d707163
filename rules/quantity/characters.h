// How many characters a person sees in a text: code points of UTF-8, each one once.
#pragma once

#include <algorithm>
#include <cstddef>
#include <string_view>

namespace overwinter {

inline std::size_t characters(std::string_view text) {
  return static_cast<std::size_t>(
      std::ranges::count_if(text, [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) != 0x80U; }));
}

}  // namespace overwinter
