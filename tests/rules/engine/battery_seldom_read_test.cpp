// A battery whose sensor speaks a few times a day, or once, through the standard rules: it is watched all the same.
#include <gtest/gtest.h>

#include <cstdio>
#include <string>

#include "tests/rules/engine/story.h"
#include "tests/winter/replay_in_memory.h"

namespace overwinter {
namespace {

std::shared_ptr<const Plan> seldom_read() {
  return plan_of(R"(
season: {lay_up: 2026-10-31, return_to_service: 2027-04-20}
places:
  outdoors: {temperature: {topic: yard, unit: degC, stale_after: 2 d}}
gear:
  house:
    kind: lead_acid_battery
    place: outdoors
    capacity: 85 Ah
    voltage: {topic: volts, unit: V, stale_after: 2 d}
    shore_power: {topic: power}
rules_from: [standard]
)");
}

// From the first of December on, every so many hours: the yard, then the battery a minute later, falling by 1 mV a day.
std::string readings(int days, int every_hours, double celsius, double volts) {
  std::string story;
  char line[80];
  for (int hour = 1; hour < days * 24; hour += every_hours) {
    const int day = hour / 24 + 1;
    const double swing = 0.2 * (hour / every_hours % 2);
    std::snprintf(line, sizeof line, "12-%02d %02d:00 yard %.1f\n", day, hour % 24, celsius - swing);
    story += line;
    std::snprintf(line, sizeof line, "12-%02d %02d:01 volts %.3f\n", day, hour % 24, volts - 0.001 * hour / 24);
    story += line;
  }
  return story;
}

// 12.00 V at 25 degC: acid of 1.155 (handbooks: V/6 - 0.845), which freezes near -16 degC (US Army TM 5-1185).
TEST(BatterySeldomReadUnderItsRules, MayFreezeAndIsNotToBeCharged) {
  for (const int hours : {6, 12, 24}) {
    const std::string lines = told(seldom_read(), readings(30, hours, -15, 11.952),
                                   {"battery_may_freeze", "battery_recharge", "reminder_due"});
    const std::size_t raised = lines.find("alarm_raised battery_may_freeze house");
    ASSERT_NE(raised, std::string::npos) << hours << " h\n" << lines;
    EXPECT_TRUE(lines.find("12-01 ") < raised || lines.find("12-02 ") < raised) << hours << " h\n" << lines;
    EXPECT_EQ(lines.find("alarm_raised battery_recharge"), std::string::npos) << hours << " h\n" << lines;
    EXPECT_EQ(lines.find("reminder_due house"), std::string::npos) << hours << " h\n" << lines;
  }
}

// A charger shows 13.2 V or more (common practice, no source); 12.4 V that fall are none.
TEST(BatterySeldomReadUnderItsRules, HasAChargerThatFailed) {
  for (const int hours : {6, 8, 12, 24}) {
    const std::string lines =
        told(seldom_read(), "12-01 00:00 power on\n" + readings(25, hours, -5, 12.40), {"charger_failed"});
    const bool in_time = lines.starts_with("12-01 ") || lines.starts_with("12-02 ") || lines.starts_with("12-03 ");
    EXPECT_TRUE(in_time) << hours << " h\n" << lines;
    EXPECT_EQ(lines.find("alarm_cleared"), std::string::npos) << hours << " h\n" << lines;
    EXPECT_EQ(told(seldom_read(), "12-01 00:00 power on\n" + readings(25, hours, -5, 13.40), {"charger_failed"}), "");
  }
}

// Where no thermometer is near, what tells it says so in a sentence that can be read.
TEST(BatterySeldomReadUnderItsRules, HasAChargerThatFailedAlsoWithoutAThermometer) {
  const auto plan = seldom_read();
  std::string story = "12-01 00:00 power on\n" + readings(25, 6, -5, 12.40);
  for (std::size_t yard = story.find("yard"); yard != std::string::npos; yard = story.find("yard", yard)) {
    const std::size_t line = story.rfind('\n', yard) + 1;
    story.erase(line, story.find('\n', line) + 1 - line);
    yard = line;
  }
  std::string message;
  for (const Event& e : replay_in_memory(plan, inputs_of(plan, capture_of(story))).events) {
    if (e.kind == EventKind::alarm_raised && e.rule == "charger_failed") message = e.message;
  }
  EXPECT_EQ(message, "12.40 V (temperature unknown) with shore power on; 13.20 V or more expected from a charger.");
}

}  // namespace
}  // namespace overwinter
