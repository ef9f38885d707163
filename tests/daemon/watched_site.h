// A site and the topics that its broker holds of it: what the tests of retained topics look at.
#pragma once

#include <gtest/gtest.h>

#include <map>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/retained_state.h"
#include "tests/daemon/household.h"

namespace overwinter {

inline constexpr std::string_view retained_rules = R"(
rules:
  hatch_open: {applies_to: {gear: hatch}, raise_when: open, priority: high, title: "{name} is open", message: Shut it.,
    consequence: Mice., response: Shut and latch it., respond_within: 3 h, off_delay: 1 s}
  camper_cold: {applies_to: {place: camper}, raise_when: temperature < 0 degC, clear_when: temperature > 2 degC,
    priority: low, message: Cold.}
  leaks: {applies_to: {kind: tire}, raise_when: verdict == "leaking" or time_until_minimum < 1 d, message: Leaks., off_delay: 1 s}
reminders:
  look_around: {every: 7 d, message: Look around., steps: [Walk., Look.], look: [Roof.], safety: Stay off the roof.}
)";

inline std::string retained_site(std::string_view units, std::string_view more = "") {
  return R"(
site: {id: alder_bend, name: Alder Bend, local_time: America/Winnipeg, display_units: )" +
         std::string(units) + R"(}
season: {lay_up: 2026-12-01}
places:
  outdoors:
    temperature: {topic: yard, unit: degC}
    humidity: {topic: yard_humidity, unit: "%"}
  camper:
    temperature: {topic: camper, unit: degC}
gear:
  tire:
    {kind: tire, place: outdoors, filled: {pressure: 350 kPa, temperature: 15 degC, date: 2026-11-24}, pressure: {topic: tire, unit: kPa}}
  spare: {kind: tire, place: outdoors, filled: {pressure: 350 kPa, temperature: 15 degC, date: 2026-11-24}}
  hatch: {kind: door_or_vent, place: camper, open: {topic: hatch}}
rules_from: [rules.yaml]
)" + std::string(more);
}

// A household that is watched, and what the broker then holds of it.
struct WatchedSite {
  std::shared_ptr<const Plan> plan;
  Household house;
  RetainedState state;
  std::map<std::string, std::string> broker;  // topic without the root -> payload

  explicit WatchedSite(std::string_view units = "us", std::string_view more = "")
      : plan(plan_of_files(retained_site(units, more), retained_rules)), house(plan, "12-01 16:00"), state(plan) {
    keep(state.whole(house.world(), utc("12-01 16:00")));
  }
  std::size_t keep(const std::vector<Publication>& publications) {
    for (const Publication& p : publications) {
      EXPECT_TRUE(p.retained);
      const std::string root = plan->topic_root + "/";
      broker[p.topic.starts_with(root) ? p.topic.substr(root.size()) : p.topic] = p.payload;
    }
    return publications.size();
  }
  std::size_t hear(std::string_view at, const std::string& topic, const std::string& payload) {
    house.hear(at, topic, payload);
    return keep(state.changes(house.world(), utc(at)));
  }
};

}  // namespace overwinter
