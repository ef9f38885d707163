// Names of the contract whose gear comes with a later version: who writes one has misspelled nothing.
#pragma once

#include <algorithm>
#include <string_view>

namespace overwinter {

inline constexpr std::string_view later_kinds[] = {"lithium_battery",   "propane_cylinder", "fuel",
                                                   "moisture_absorber", "water_system",     "roof"};
// Their quantities and parameters, as far as no kind of this version has one of that name: no id either, for the gear
// would be refused by the version that brings them.
inline constexpr std::string_view later_names[] = {"reported_charge",
                                                   "storage_band",
                                                   "charging_allowed",
                                                   "state_of_charge_at_least",
                                                   "state_of_charge_at_most",
                                                   "gross_weight",
                                                   "gas_reading",
                                                   "tare",
                                                   "water_capacity",
                                                   "requalified",
                                                   "contents",
                                                   "fill_fraction",
                                                   "liquid_fraction",
                                                   "liquid_full_temperature",
                                                   "bought",
                                                   "stabilized",
                                                   "ethanol",
                                                   "summer_grade",
                                                   "storage_life_left",
                                                   "tub_weight",
                                                   "salt_mass",
                                                   "put_out",
                                                   "deliquescence_humidity",
                                                   "working_share",
                                                   "uptake_rate",
                                                   "spent",
                                                   "winterized",
                                                   "antifreeze_fraction",
                                                   "freezing_point",
                                                   "burst_point",
                                                   "freezing_exposure",
                                                   "snow_load_limit",
                                                   "snow_load"};
inline constexpr std::string_view later_rules[] = {"gas_detected"};

inline bool is_later_kind(std::string_view name) {
  return std::ranges::find(later_kinds, name) != std::end(later_kinds);
}
inline bool is_later_name(std::string_view name) {
  return std::ranges::find(later_names, name) != std::end(later_names);
}
inline bool is_later_rule(std::string_view name) {
  return std::ranges::find(later_rules, name) != std::end(later_rules);
}

}  // namespace overwinter
