// What a gauge would show now moves with the thermometer, whoever read the gauge and whenever: in windows, between two
// packets, over a restart.
#include <gtest/gtest.h>

#include <string>
#include <string_view>
#include <vector>

#include "tests/rules/engine/lived.h"

namespace overwinter {
namespace {

// A tire that is gauged by hand in a yard with a thermometer.
auto tire_under(const std::string& condition, const std::string& more = {}) {
  return plan_with(
      R"(
site: {id: alder_bend, local_time: UTC}
places: {outdoors: {temperature: {topic: yard, unit: degC}}}
gear:
  tire: {kind: tire, place: outdoors, pressure: by_hand)" +
          more + R"(}
rules_from: [rules.yaml]
)",
      "rules: {r: {applies_to: {kind: tire}, raise_when: \"" + condition + "\", off_delay: 1 h, message: m}}\n");
}

auto filled_tire_under(const std::string& condition) {
  return tire_under(condition, ", filled: {pressure: 52 psi, temperature: 15 degC, date: 2026-12-01}");
}

std::string first_raised(const Lived& lived) {
  const auto raised = told(lived, {EventKind::alarm_raised});
  return raised.empty() ? "never" : raised.front();
}

// 20 K colder at eight in the evening; at half past ten a person writes down what the gauge showed at noon.
TEST(ExpectedNow, IsOfNowInAWindowWhenTheGaugeWasReadEarlier) {
  const auto yard = hourly("yard", "2026-12-01T00:00:00Z", 48, [](int hour) { return hour < 20 ? 10 : -10; });
  const std::vector<Mail> gauge = {
      command("2026-12-01T22:30:00Z", "record",
              R"({"gear":"tire","quantity":"pressure","value":"52 psi","at":"2026-12-01T12:00:00Z"})")};
  for (const auto& [condition, at] :
       {std::pair("mean(pressure.expected_now, 12 h) < 49.5 psi", "2026-12-02T00:55:00Z alarm_raised r"),
        std::pair("slope(pressure.expected_now, 10 h) < -0.2 psi/h", "2026-12-01T23:00:00Z alarm_raised r")}) {
    const auto site = filled_tire_under(condition);
    EXPECT_EQ(first_raised(live(site, yard)), at) << condition;
    EXPECT_EQ(first_raised(live(site, together({yard, gauge}))), at) << condition;
  }
}

// The gauge is read by hand and is never stale; the thermometer is.
TEST(ExpectedNow, IsNotHeldOverASilenceOfTheThermometer) {
  const auto site = filled_tire_under("held_for(pressure.expected_now < 49.5 psi, 20 h)");
  const auto before = hourly("yard", "2026-12-02T00:00:00Z", 6, [](int) { return -10; });
  const auto after = hourly("yard", "2026-12-04T00:00:00Z", 30, [](int) { return -10; });
  EXPECT_EQ(first_raised(live(site, together({before, after}))), "2026-12-04T20:00:00Z alarm_raised r");
}

// Six hours after its last reading the thermometer is unknown (stale_after), and so is at that instant what rests on
// it: nothing is raised on it in the hour until the model looks again.
TEST(ExpectedNow, IsUnknownAtTheInstantAtWhichTheThermometerIs) {
  const auto yard = hourly("yard", "2026-12-02T00:00:00Z", 6, [](int) { return -10; });
  const std::vector<Mail> later = {{"2026-12-02T14:00:00Z", "yard", "-10"}};
  for (const char* condition : {"not known(pressure.expected_now)", "not known(assumed_temperature)"}) {
    EXPECT_EQ(first_raised(live(filled_tire_under(condition), together({yard, later}))),
              "2026-12-02T11:00:00Z alarm_raised r")
        << condition;
  }
  const auto held = filled_tire_under("held_for(pressure.expected_now < 49.5 psi, 690 min)");
  EXPECT_EQ(first_raised(live(held, together({yard, later}))), "2026-12-02T14:00:00Z alarm_raised r");
}

// One packet of -40 degC for an hour, and the next, seconds after the model looked, takes it back.
TEST(ExpectedNow, RaisesNothingOnOnePacketOfTheThermometerOfItsPlace) {
  const auto site = filled_tire_under("pressure.expected_now < 47.2 psi");
  const std::vector<Mail> spike = {{"2026-12-02T00:30:00Z", "yard", "10"}, {"2026-12-02T01:00:00Z", "yard", "-40"}};
  const auto after = hourly("yard", "2026-12-02T02:00:20Z", 6, [](int) { return 10; });
  EXPECT_EQ(first_raised(live(site, together({spike, after}))), "never");
}

// Unknown for one reason before and after a restart, it has not moved, and nothing looks at it between the steps of the
// clock.
TEST(ExpectedNow, IsLookedAtOverARestartAsWithoutOne) {
  const auto site = tire_under("first_known(pressure.expected_now, 50 psi) < 60 psi and now > 2026-12-02T01:01:00Z");
  const auto yard = hourly("yard", "2026-12-02T00:02:00Z", 6, [](int) { return 10; });
  EXPECT_EQ(first_raised(live(site, yard)), "2026-12-02T01:05:00Z alarm_raised r");
  EXPECT_EQ(first_raised(live_through_restart(site, yard, "2026-12-02T00:32:00Z", site)),
            "2026-12-02T01:05:00Z alarm_raised r");
}

}  // namespace
}  // namespace overwinter
