// A tire that was filled in October and is gauged by hand in a yard of -5 degC.
#pragma once

#include <fmt/format.h>

#include <string>
#include <string_view>
#include <vector>

#include "tests/rules/engine/lived.h"

namespace overwinter {

inline std::string tire_site(std::string_view filled) {
  return fmt::format(R"(
site: {{id: alder_bend, local_time: America/Winnipeg, display_units: us}}
season: {{lay_up: 2026-10-31}}
places: {{outdoors: {{temperature: {{topic: yard, unit: degC}}}}}}
gear:
  left_tire: {{kind: tire, place: outdoors, minimum_pressure: 40 psi, filled: {}, pressure: by_hand}}
rules_from: [rules.yaml]
)",
                     filled);
}

inline constexpr std::string_view of_october = "{pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}";

inline std::vector<Mail> yard() {
  return hourly("yard", "2026-11-01T06:00:00Z", 24 * 12, [](int) { return -5; });
}

inline Mail gauged_by_hand(std::string_view at, std::string_view value) {
  return command(at, "record", fmt::format(R"({{"gear":"left_tire","quantity":"pressure","value":"{}"}})", value));
}

}  // namespace overwinter
