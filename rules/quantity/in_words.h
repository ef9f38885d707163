// Ids as a person reads them.
#pragma once

#include <algorithm>
#include <string>

namespace overwinter {

// Underscores as spaces: "left_front_tire" is "left front tire".
inline std::string in_words(std::string id) {
  std::replace(id.begin(), id.end(), '_', ' ');
  return id;
}

}  // namespace overwinter
