#include "rules/gear/kind.h"

#include <algorithm>

namespace overwinter {
namespace {

template <class Row>
std::optional<std::uint8_t> index_by_name(const std::vector<Row>& rows, std::string_view name) {
  const auto found = std::find_if(rows.begin(), rows.end(), [&](const Row& row) { return row.name == name; });
  if (found == rows.end()) return std::nullopt;
  return static_cast<std::uint8_t>(found - rows.begin());
}

}  // namespace

std::optional<std::uint8_t> KindSpec::quantity(std::string_view wanted) const {
  return index_by_name(quantities, wanted);
}

std::optional<std::uint8_t> KindSpec::parameter(std::string_view wanted) const {
  return index_by_name(parameters, wanted);
}

}  // namespace overwinter
