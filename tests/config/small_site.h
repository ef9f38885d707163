// A site with two tires and some places, for tests of what its files become.
#pragma once

#include <string>
#include <string_view>

#include "config/site_file.h"

namespace overwinter {

// A site with two tires, one room, and the rule file r.yaml.
inline LoadedSite load(const std::string& rules, const std::string& more = {}) {
  FilesInMemory source;
  source.files["site.yaml"] = R"(site: {id: home, local_time: America/Winnipeg, altitude: 232 m}
places:
  outdoors:
    temperature: {topic: yard, unit: degC}
  garage: {heated: true}
  shed: {}
gear:
  radio: {kind: gateway, place: shed, online: {topic: radio}}
  left_tire:
    kind: tire
    place: outdoors
    pressure: {topic: left, unit: psi, via: radio, stale_after: 2 h}
  right_tire: {kind: tire, place: outdoors, pressure: by_hand, minimum_pressure: 40 psi}
rules_from: [r.yaml]
)" + more;
  source.files["r.yaml"] = rules;
  return load_site("site.yaml", source);
}

inline const std::string soft_tire = R"(
rules:
  soft_tire:
    applies_to: {kind: tire}
    with: {limit: 40 psi, back: 2 psi}
    raise_when: pressure < limit
    clear_when: pressure > limit + back
    message: "{pressure}"
)";

inline std::string text(const LoadedSite& site) { return render_faults(site); }

inline const AlarmSpec* alarm_of(const Plan& plan, std::string_view rule, std::string_view id) {
  for (const AlarmSpec& alarm : plan.alarms) {
    if (plan.rules[alarm.rule].name == rule && plan.entities[alarm.entity].id == id) return &alarm;
  }
  return nullptr;
}

inline constexpr double psi = 6894.757293168361;  // Pa; NIST SP 811, table B.8

}  // namespace overwinter
