// A model takes its own readings at once and follows its surroundings soon: a busy thermometer outdoors does not set
// the whole site to work each second.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include "rules/engine/engine.h"
#include "rules/engine/world.h"
#include "tests/rules/engine/story.h"
#include "tests/winter/replay_in_memory.h"

namespace overwinter {
namespace {

constexpr std::string_view follow_site = R"(
places:
  outdoors: {temperature: {topic: yard, unit: degC}}
  camper: {temperature: {topic: camper, unit: degC}}
)";

// HH:MM:SS of the first of December, in UTC.
Instant at(const std::string& time) { return *parse_rfc3339("2026-12-01T" + time + "Z"); }

class Follow : public testing::Test {
 protected:
  std::shared_ptr<const Plan> plan = plan_of(follow_site, "rules: {}\n");
  Engine engine{plan, at("12:00:00")};

  void hear(const std::string& line) {
    for (const Input& input : inputs_of(plan, capture_of(line + "\n"))) engine.step(input);
  }
  const SlotState& surface() const {
    return engine.world().board[plan->find_slot(plan->find_entity("camper"), "surface_temperature")];
  }
};

TEST_F(Follow, ItsOwnReadingCountsAtOnce) {
  hear("12-01 12:00:10 yard -10");
  hear("12-01 12:00:20 camper -10");
  EXPECT_NEAR(surface().value, -10, 1e-9);
  hear("12-01 12:00:21 camper 10");
  EXPECT_GT(surface().value, -9);
}

TEST_F(Follow, ItsSurroundingsCountWithinNinetySeconds) {
  hear("12-01 12:10:00 yard 0");
  hear("12-01 12:10:10 camper 0");
  hear("12-01 12:10:20 yard -30");
  EXPECT_NEAR(surface().value, 0, 1e-9) << "not yet";
  EXPECT_LE(engine.next_deadline(), at("12:11:40"));
  engine.step({at("12:11:40"), Tick{}});
  EXPECT_LT(surface().value, -7) << "without another reading";
}

TEST_F(Follow, WhoWasNotUpdatedForLongFollowsAtOnce) {
  hear("12-01 12:10:00 yard 0");
  hear("12-01 12:10:10 camper 0");
  hear("12-01 12:30:00 yard -30");
  EXPECT_LT(surface().value, -7);
}

TEST_F(Follow, ABusyThermometerOutdoorsMovesTheOthersNoMoreOften) {
  hear("12-01 12:10:00 camper 0");
  int moved = 0;
  double before = surface().value;
  for (int second = 0; second < 600; second += 2) {
    engine.step({at("12:20:00") + second * Span(1000), Tick{}});
    hear(fmt::format("12-01 12:{:02}:{:02} yard {:.2f}", 20 + second / 60, second % 60, -0.01 * second));
    moved += surface().value != before ? 1 : 0;
    before = surface().value;
  }
  EXPECT_GE(moved, 6);
  EXPECT_LE(moved, 8) << "ten minutes of 90 s";
}

// Nobody reads the tire, and it stands all the same.
TEST(FollowTime, WhatFollowsFromTheTimeAloneIsAnHourOldAtMost) {
  const auto plan = plan_of(R"(
places: {outdoors: {}}
gear: {tire: {kind: tire, place: outdoors, moved: {date: 2026-12-01}, pressure: by_hand}}
)",
                            "rules: {}\n");
  Engine engine{plan, at("12:00:00")};
  const std::uint32_t slot = plan->find_slot(plan->find_entity("tire"), "standing_time");
  const Instant moved = at("06:00:00");  // midnight in Winnipeg
  for (Instant now = at("12:00:00"); now < at("20:00:00"); now += 5 * one_minute) {
    engine.step({now, Tick{}});
    const double stands = engine.world().board[slot].value;
    EXPECT_LE(stands, to_seconds(now - moved));
    EXPECT_GE(stands, to_seconds(now - moved - one_hour));
  }
}

}  // namespace
}  // namespace overwinter
