// A service that was updated in midwinter goes on with what the one before it kept.
// tests/daemon/data/snapshots/layout_8.bin was taken from the journal of a service whose snapshots had layout 8
// (rules/archive.h), two weeks after lay-up.
#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <sstream>

#include "tests/daemon/household.h"
#include "tests/places.h"

namespace overwinter {
namespace {

constexpr std::string_view site_of_layout_8 = R"(
site: {id: alder_bend, name: Alder Bend, local_time: America/Winnipeg, display_units: us}
broker: {host: 127.0.0.1, port: 18977}
season: {lay_up: 2026-10-24, return_to_service: 2027-04-20}
places:
  outdoors: {temperature: {topic: yard, unit: degC}}
gear:
  left_rear_tire: {kind: tire, place: outdoors, minimum_pressure: 40 psi, pressure: {topic: tire, unit: psi}}
  house_battery: {kind: lead_acid_battery, place: outdoors, capacity: 85 Ah, voltage: {topic: battery, unit: V}}
)";

TEST(OlderSnapshot, OfTheLayoutBeforeIsReadWhole) {
  std::stringstream bytes;
  bytes << std::ifstream(places::repository() / "tests/daemon/data/snapshots/layout_8.bin", std::ios::binary).rdbuf();
  const auto plan = plan_of_files(site_of_layout_8, "rules: {}\n");
  Result<Caretaker> restored = Caretaker::restore(plan, bytes.str());
  ASSERT_TRUE(restored) << restored.error().text;
  const World& world = restored->world();
  EXPECT_EQ(world.started, utc("10-24 12:00"));
  EXPECT_EQ(world.entities[plan->find_entity("left_rear_tire")].acts.count("filled"), 1U);

  // The leak that was found stands over the next reading, whose trend is that of two weeks.
  (void)restored->step({1, utc("11-08 18:00"), JournaledInput::Kind::message, "tire", "41.7", false});
  const auto leaking = std::ranges::find_if(
      world.plan->alarms, [&](const AlarmSpec& alarm) { return plan->rules[alarm.rule].name == "tire_leaking"; });
  ASSERT_NE(leaking, world.plan->alarms.end());
  EXPECT_TRUE(world.alarms[static_cast<std::size_t>(leaking - world.plan->alarms.begin())].active());
  // What was done stays done.
  const auto prepared = std::ranges::find_if(world.plan->reminders, [&](const ReminderSpec& reminder) {
    return plan->reminder_defs[reminder.def].name == "prepare_for_winter";
  });
  ASSERT_NE(prepared, world.plan->reminders.end());
  EXPECT_TRUE(world.reminders[static_cast<std::size_t>(prepared - world.plan->reminders.begin())].completed);
}

}  // namespace
}  // namespace overwinter
