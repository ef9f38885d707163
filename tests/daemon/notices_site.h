// Doors of Alder Bend with an alarm of each priority, and two reminders: what the tests of notices watch. Alder Bend is
// in Winnipeg: local time is UTC - 6 h in winter, - 5 h before November 1, 2026 and after March 14, 2027 (IANA time
// zone data base).
#pragma once

#include <memory>
#include <string>
#include <string_view>

#include "tests/daemon/household.h"

namespace overwinter {

inline constexpr std::string_view notices_rules = R"(
rules:
  low_one: {applies_to: {gear: locker}, raise_when: open, priority: low, title: "{name} is open", message: Shut it., off_delay: 1 s}
  medium_one: {applies_to: {gear: hatch}, raise_when: open, priority: medium, title: "{name} is open", message: Shut it., respond_within: 2 d, off_delay: 1 s}
  hidden_one: {applies_to: {gear: flap}, raise_when: open, priority: medium, suppressed_by: high_one, title: "{name} is open", message: Shut it., off_delay: 1 s}
  high_one: {applies_to: {gear: [flap, shutter]}, raise_when: not as_it_should_be, priority: high, title: "{name} is wrong", message: Shut it., respond_within: 3 h, off_delay: 1 s}
  critical_one: {applies_to: {gear: valve}, raise_when: open, priority: critical, title: "{name} is open", message: Shut it., off_delay: 1 s}
)";
inline constexpr std::string_view notices_reminders = R"(
reminders:
  look_around: {every: 7 d, message: Look around.}
  empty_traps: {every: 7 d, message: Empty the traps.}
)";

inline std::string notices_site(std::string_view more = "") {
  return R"(
site: {id: alder_bend, name: Alder Bend, local_time: America/Winnipeg, display_units: us}
season: {lay_up: 2026-10-31}
places: {camper: {}}
gear:
  locker: {kind: door_or_vent, place: camper, open: {topic: locker}}
  hatch: {kind: door_or_vent, place: camper, open: {topic: hatch}}
  flap: {kind: door_or_vent, place: camper, should_be: closed, open: {topic: flap}}
  shutter: {kind: door_or_vent, place: camper, should_be: closed, open: {topic: shutter}}
  valve: {kind: door_or_vent, place: camper, open: {topic: valve}}
rules_from: [rules.yaml]
)" + std::string(more);
}

inline constexpr std::string_view no_digest = "digest: {enabled: false}\n";

inline Household at(std::string_view start, std::string_view more = no_digest) {
  return {plan_of_files(notices_site(more), notices_rules), start};
}
// Two doors of one kind, under these rules and reminders alone.
inline std::shared_ptr<const Plan> hatch_and_vent(const std::string& rules) {
  return plan_of_files(
      "site: {id: alder_bend, name: Alder Bend, local_time: America/Winnipeg}\nplaces: {camper: {}}\ngear:\n"
      "  hatch: {kind: door_or_vent, place: camper, open: {topic: hatch}}\n"
      "  vent: {kind: door_or_vent, place: camper, open: {topic: vent}}\nrules_from: [rules.yaml]\n" +
          std::string(no_digest),
      rules);
}
// Both reminders are due on Saturday, November 7.
inline Household with_reminders_at(std::string_view start, std::string_view more = no_digest) {
  return {plan_of_files(notices_site(more), std::string(notices_rules) + std::string(notices_reminders)), start};
}

}  // namespace overwinter
