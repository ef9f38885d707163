// Ids and counts as a person reads them.
#pragma once

#include <algorithm>
#include <cstddef>
#include <string>

namespace overwinter {

// Underscores as spaces: "left_front_tire" is "left front tire".
inline std::string in_words(std::string id) {
  std::replace(id.begin(), id.end(), '_', ' ');
  return id;
}

// "1 sensor", "3 sensors".
inline std::string counted(std::size_t n, const std::string& one, const std::string& many) {
  return std::to_string(n) + " " + (n == 1 ? one : many);
}

}  // namespace overwinter
