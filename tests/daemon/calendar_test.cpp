// Work by the calendar where days have 23, 24 or 25 hours, where February has 29 days, and over a gap. Winnipeg changes
// its clocks on November 1, 2026 and March 14, 2027 (IANA time zone data base); that work is due at 08:00 local is our
// choice.
#include <gtest/gtest.h>

#include "tests/daemon/household.h"

namespace overwinter {
namespace {

std::shared_ptr<const Plan> plan_with(std::string_view digest) {
  return plan_of_files(R"(
site: {id: alder_bend, name: Alder Bend, local_time: America/Winnipeg}
season: {lay_up: 2026-10-24}
places: {camper: {}}
rules_from: [rules.yaml]
)" + std::string(digest),
                       "reminders:\n  look_around: {every: 7 d, message: Look around.}\n");
}

std::string due(const Household& house) {
  const auto at = house.world().reminders.at(0).due;
  return at ? format_rfc3339(*at) : "never";
}

std::string due_after_doing_it(std::string_view at) {
  Household house(plan_with("digest: {enabled: false}\n"), "2026-10-25T00:00:00Z");
  house.say(at, "done", R"({"reminder":"look_around"})");
  EXPECT_FALSE(house.answers.empty());
  EXPECT_TRUE(house.answers.back().accepted) << house.answers.back().why;
  return due(house);
}

TEST(CalendarTest, WorkIsDueAtTheSameLocalHourOnBothSidesOfAClockChange) {
  const Household house(plan_with("digest: {enabled: false}\n"), "2026-10-25T00:00:00Z");
  EXPECT_EQ(due(house), "2026-10-31T13:00:00Z");                                  // 08:00 CDT
  EXPECT_EQ(due_after_doing_it("2026-10-31T15:00:00Z"), "2026-11-07T14:00:00Z");  // 08:00 CST
  EXPECT_EQ(due_after_doing_it("2026-11-01T06:30:00Z"), "2026-11-08T14:00:00Z");  // 01:30, the first time
  EXPECT_EQ(due_after_doing_it("2026-11-01T07:30:00Z"), "2026-11-08T14:00:00Z");  // 01:30, the second time
  EXPECT_EQ(due_after_doing_it("2027-03-08T15:00:00Z"), "2027-03-15T13:00:00Z");  // 08:00 CDT
  EXPECT_EQ(due_after_doing_it("2027-03-14T07:59:00Z"), "2027-03-21T13:00:00Z");  // a minute before the gap
}

TEST(CalendarTest, ALeapDayIsADay) {
  EXPECT_EQ(due_after_doing_it("2028-02-22T15:00:00Z"), "2028-02-29T14:00:00Z");
  EXPECT_EQ(due_after_doing_it("2028-02-29T15:00:00Z"), "2028-03-07T14:00:00Z");
  EXPECT_EQ(due_after_doing_it("2027-02-22T15:00:00Z"), "2027-03-01T14:00:00Z");
}

TEST(CalendarTest, TheDigestKeepsItsLocalHour) {
  Household house(plan_with(""), "2026-10-31T14:00:00Z");
  house.say("2026-10-31T14:30:00Z", "skip", R"({"reminder":"look_around"})");
  house.told();
  house.wait_until("2026-11-02T12:00:00Z");
  EXPECT_EQ(house.told(), "11-02 00:00 digest digest alder_bend\n");  // Sunday 18:00 CST
  Household spring(plan_with(""), "2027-03-10T14:00:00Z");
  spring.say("2027-03-10T14:30:00Z", "skip", R"({"reminder":"look_around"})");
  spring.told();
  spring.wait_until("2027-03-15T12:00:00Z");
  EXPECT_EQ(spring.told(), "03-14 23:00 digest digest alder_bend\n");  // Sunday 18:00 CDT
}

// A clock that was set forward, a service that was off: ours, no source.
TEST(CalendarTest, WhatFellDueInAGapOfWeeksIsToldOnce) {
  Household house(plan_with(""), "2026-10-25T00:00:00Z");
  house.step(JournaledInput::Kind::tick, utc("2026-12-10T15:00:00Z"), {}, {});
  EXPECT_EQ(house.told(),
            "12-10 15:00 digest digest alder_bend\n"
            "12-10 15:00 reminder overdue alder_bend\n");
}

}  // namespace
}  // namespace overwinter
