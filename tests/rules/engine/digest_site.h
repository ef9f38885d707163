// A camper with a thermometer, and what more a test of the digest needs.
#pragma once

#include <fmt/format.h>

#include <string>
#include <string_view>
#include <vector>

#include "tests/rules/engine/lived.h"

namespace overwinter {

inline std::string digest_site(std::string_view more) {
  return fmt::format(R"(
site: {{id: alder_bend, local_time: America/Winnipeg}}
season: {{lay_up: 2026-10-31}}
places:
  camper: {{temperature: {{topic: camper, unit: degC}}}}
{}
rules_from: [rules.yaml]
)",
                     more);
}

inline constexpr std::string_view digest_rules = R"(
rules:
  cold: {applies_to: {place: camper}, raise_when: temperature < -20 degC, off_delay: 1 h, message: m}
  low: {applies_to: {kind: tire}, raise_when: pressure < 30 psi, off_delay: 1 h, message: m}
)";

// From Sunday evening on, with a gap of so many hours in the second week.
inline std::vector<Mail> week_with_gap(int hours_lost) {
  std::vector<Mail> mail;
  for (const Mail& m : hourly("camper", "2026-11-02T00:00:00Z", 24 * 14 + 2, [](int) { return 5; })) {
    const int hour = static_cast<int>(mail.size());
    if (hour > 24 * 9 && hour < 24 * 9 + hours_lost) {
      mail.push_back({m.at, "unbound", ""});
    } else {
      mail.push_back(m);
    }
  }
  return mail;
}

}  // namespace overwinter
