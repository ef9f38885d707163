// Names of the contract whose gear comes with a later version: who writes one has misspelled nothing.
#pragma once

#include <algorithm>
#include <string_view>

namespace overwinter {

inline constexpr std::string_view later_kinds[] = {"lithium_battery",   "propane_cylinder", "fuel",
                                                   "moisture_absorber", "water_system",     "roof"};
inline constexpr std::string_view later_rules[] = {"gas_detected"};

inline bool is_later_kind(std::string_view name) {
  return std::ranges::find(later_kinds, name) != std::end(later_kinds);
}
inline bool is_later_rule(std::string_view name) {
  return std::ranges::find(later_rules, name) != std::end(later_rules);
}

}  // namespace overwinter
