#include "rules/gear/kinds.h"

#include <algorithm>
#include <array>

namespace overwinter {

std::span<const KindSpec* const> all_kinds() {
  static const std::array kinds{&site_kind(),      &place_kind(),        &tire_kind(),    &lead_acid_battery_kind(),
                                &generator_kind(), &door_or_vent_kind(), &gateway_kind(), &dated_item_kind()};
  return kinds;
}

const KindSpec* find_kind(std::string_view name) {
  const auto kinds = all_kinds();
  const auto found = std::find_if(kinds.begin(), kinds.end(), [&](const KindSpec* kind) { return kind->name == name; });
  return found == kinds.end() ? nullptr : *found;
}

}  // namespace overwinter
