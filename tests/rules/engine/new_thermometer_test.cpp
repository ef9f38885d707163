// Where the thermometer of a place is another, the windows of what models make of it begin anew: hours of one that hung
// in the sun are not of the one that replaces it.
#include <gtest/gtest.h>

#include <string>
#include <string_view>

#include "tests/rules/engine/lived.h"

namespace overwinter {
namespace {

auto site_of(const std::string& topic, std::string_view condition) {
  return plan_with("site: {id: alder_bend, local_time: UTC}\nplaces: {outdoors: {temperature: {topic: " + topic +
                       R"(, unit: degC}}}
gear:
  tire: {kind: tire, place: outdoors, pressure: by_hand, filled: {pressure: 52 psi, temperature: 15 degC, date: 2026-12-01}}
rules_from: [rules.yaml]
)",
                   "rules: {r: {applies_to: {kind: tire}, raise_when: \"" + std::string(condition) +
                       "\", off_delay: 1 h, message: m}}\n");
}

// Twelve hours behind the one and twenty behind the other; where it stays, twenty in all.
TEST(NewThermometer, BeginsTheWindowsOfWhatRestsOnIt) {
  const auto mail = together({hourly("wall", "2026-12-02T00:00:00Z", 12, [](int) { return -10; }),
                              hourly("shade", "2026-12-02T12:00:00Z", 40, [](int) { return -10; })});
  const auto stays = hourly("wall", "2026-12-02T00:00:00Z", 52, [](int) { return -10; });
  for (const std::string_view condition :
       {"held_for(place.temperature < 0 degC, 20 h)", "held_for(temperature < 0 degC, 20 h)",
        "held_for(assumed_temperature < 0 degC, 20 h)", "held_for(pressure.expected_now < 49.5 psi, 20 h)"}) {
    const auto before = site_of("wall", condition), after = site_of("shade", condition);
    EXPECT_EQ(
        told(live_through_restart(before, mail, "2026-12-02T12:00:00Z", after), {EventKind::alarm_raised}).front(),
        "2026-12-03T08:00:00Z alarm_raised r")
        << condition;
    EXPECT_EQ(
        told(live_through_restart(before, stays, "2026-12-02T12:00:00Z", before), {EventKind::alarm_raised}).front(),
        "2026-12-02T20:00:00Z alarm_raised r")
        << condition;
  }
}

}  // namespace
}  // namespace overwinter
