// The rules that ship, on the site of the examples.
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <set>

#include "config/site_file.h"
#include "tests/places.h"
#include "tests/rules/engine/lived.h"
#include "tests/rules/engine/story.h"

namespace overwinter {
namespace {

LoadedSite example() { return load_site(places::repository() / "config/examples/alder-bend/site.yaml"); }

TEST(StandardRules, LoadOnTheExampleSiteWithoutAWarningOfTheirOwn) {
  const LoadedSite site = example();
  ASSERT_TRUE(site.sound()) << render_faults(site);
  for (const Fault& fault : site.faults) {
    EXPECT_TRUE(fault.where.file.ends_with("site.yaml")) << fault.where.file << ": " << fault.text;
    EXPECT_NE(fault.text.find("is not watched by"), std::string::npos) << fault.text;  // a sensor that the site lacks
  }
}

TEST(StandardRules, HaveTheNamesThatStand) {
  const LoadedSite site = example();
  ASSERT_TRUE(site.sound());
  std::set<std::string> names;
  for (const RuleSpec& rule : site.plan->rules) names.insert(rule.name);
  for (const ReminderDef& reminder : site.plan->reminder_defs) names.insert(reminder.name);
  for (const std::string name :
       {"tire_below_expected", "tire_leaking", "tire_sudden_loss", "battery_recharge", "battery_may_freeze",
        "charger_failed", "heating_failed", "thaw_condensation", "wet_source_suspected", "mold_likely",
        "door_or_vent_wrong", "sensor_silent", "sensor_stuck", "sensors_jumped_together", "gateway_silent",
        "journal_unwritable", "exercise_generator", "charge_battery"}) {
    EXPECT_TRUE(names.contains(name)) << name;
  }
}

// What lasts a month only, as some water filters do by their labels, is not due when it was just replaced.
TEST(StandardRules, LetAnItemOfAMonthBeReplaced) {
  const auto plan = plan_of(std::string(thermometers) + R"(
gear:
  filter: {kind: dated_item, place: camper, installed: {date: 2026-11-01}, replace_after: 1 month}
  detector: {kind: dated_item, place: camper, made: {date: 2020-01-01}, replace_after: 7 years}
)");
  EXPECT_EQ(told(plan, R"(
    11-10 00:00 yard 0
    12-01 12:00 do/act {"gear":"filter","act":"replaced"}
    12-20 00:00 yard 0
  )",
                 {"dated_item_due"}),
            lines_of(R"(
    11-23 16:00:00 alarm_raised dated_item_due filter
    12-01 12:00:00 alarm_cleared dated_item_due filter
    12-02 07:00:00 alarm_raised dated_item_due detector
  )"));
}

// ISO 2533 at 1500 m: 84.556 kPa, 12.26 psi. A sensor that subtracts 101.325 kPa says 36 psi where a true gauge shows
// 38.4 psi, and to have 50 psi at sea level 52.4 psi are to be set by a true gauge.
TEST(StandardRules, TellWhatASealedSensorSaysAsTheGaugeShowsItThatSetsTheTire) {
  const auto high = plan_with(R"(
site: {id: alder_bend, local_time: America/Winnipeg, altitude: 1500 m, display_units: us}
places: {outdoors: {temperature: {topic: yard, unit: degC}}}
gear:
  tire:
    kind: tire
    place: outdoors
    cold_pressure: 50 psi
    minimum_pressure: 45 psi
    pressure: {topic: tire, unit: psi, reads: sealed}
rules_from: [standard]
)");
  const auto lived = live(high, together({hourly("yard", "2026-12-01T06:00:00Z", 12, [](int) { return 20; }),
                                          hourly("tire", "2026-12-01T06:00:00Z", 12, [](int) { return 36; })}));
  const auto low = std::ranges::find_if(lived.events, [](const Event& event) {
    return event.kind == EventKind::alarm_raised && event.rule == "tire_under_minimum";
  });
  ASSERT_NE(low, lived.events.end());
  EXPECT_TRUE(low->message.starts_with("38 ± 3 psi by a true gauge at 68 °F; 36 ± ")) << low->message;
  EXPECT_NE(low->message.find(" and sea level. It is at its minimum of 45.0 psi at 68 °F, or below. To set at today's "
                              "temperature: 52.4 ± "),
            std::string::npos)
      << low->message;
}

// What was not given is not told as unknown.
TEST(StandardRules, SayNothingOfThePressureToSetWhereNoColdPressureIsGiven) {
  const auto plan = plan_with(R"(
site: {id: alder_bend, local_time: America/Winnipeg, altitude: 0 m, display_units: us}
places: {outdoors: {temperature: {topic: yard, unit: degC}}}
gear: {tire: {kind: tire, place: outdoors, minimum_pressure: 45 psi, pressure: {topic: tire, unit: psi}}}
rules_from: [standard]
)");
  const auto lived = live(plan, together({hourly("yard", "2026-12-01T06:00:00Z", 12, [](int) { return 20; }),
                                          hourly("tire", "2026-12-01T06:00:00Z", 12, [](int) { return 40; })}));
  const auto low = std::ranges::find(lived.events, "tire_under_minimum", &Event::rule);
  ASSERT_NE(low, lived.events.end());
  EXPECT_TRUE(low->message.ends_with(" and sea level. It is at its minimum of 45.0 psi at 68 °F, or below."))
      << low->message;
}

}  // namespace
}  // namespace overwinter
