// Of measurements that other work on the machine spreads.
#pragma once

#include <algorithm>
#include <vector>

namespace overwinter::bench {

// 0 of none.
inline double median(std::vector<double> values) {
  if (values.empty()) return 0;
  std::ranges::sort(values);
  return values[values.size() / 2];
}

}  // namespace overwinter::bench
