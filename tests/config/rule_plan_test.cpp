// Rules and reminders as they enter the plan: their numbers, what they apply to, and what they rest on.
#include <gtest/gtest.h>

#include <algorithm>
#include <string>

#include "tests/config/small_site.h"

namespace overwinter {
namespace {

using namespace std::chrono_literals;
using std::chrono::sys_days;

// The first constant of a condition such as `pressure < limit`.
double limit_of(const Plan& plan, std::string_view id) {
  const AlarmSpec* alarm = alarm_of(plan, "soft_tire", id);
  return alarm && !alarm->raise.constants.empty() ? alarm->raise.constants[0] : 0;
}

TEST(With, IsReplacedNumberByNumberByAdjust) {
  const LoadedSite site = load(soft_tire + "adjust:\n  soft_tire: {with: {limit: 44 psi}}\n");
  ASSERT_TRUE(site.plan) << text(site);
  EXPECT_NEAR(limit_of(*site.plan, "left_tire"), 44 * psi, 0.1);
  EXPECT_NEAR(alarm_of(*site.plan, "soft_tire", "left_tire")->clear.constants[0], 46 * psi,
              0.1);  // limit + back, folded
}

TEST(For, ChangesTheNumbersOfOnePieceOfGear) {
  const LoadedSite site = load(soft_tire + "adjust:\n  soft_tire: {for: {left_tire: {limit: 50 psi}}}\n");
  ASSERT_TRUE(site.plan) << text(site);
  EXPECT_NEAR(limit_of(*site.plan, "left_tire"), 50 * psi, 0.1);
  EXPECT_NEAR(limit_of(*site.plan, "right_tire"), 40 * psi, 0.1);
}

TEST(Adjust, OfTheSiteFileComesLast) {
  const LoadedSite site = load(soft_tire + "adjust:\n  soft_tire: {with: {limit: 44 psi}}\n",
                               "adjust:\n  soft_tire: {with: {limit: 45 psi}, priority: high, on_delay: 2 h}\n");
  ASSERT_TRUE(site.plan) << text(site);
  EXPECT_NEAR(limit_of(*site.plan, "left_tire"), 45 * psi, 0.1);
  EXPECT_EQ(site.plan->rules[0].priority, Priority::high);
  EXPECT_EQ(site.plan->rules[0].on_delay, Span(2h));
}

TEST(Rule, DefinedAgainIsReplacedKeyByKey) {
  FilesInMemory source;
  source.files["site.yaml"] = R"(site: {id: home, local_time: UTC, altitude: 0 m}
gear: {left_tire: {kind: tire, place: outdoors, pressure: by_hand}}
rules_from: [a.yaml, b/b.yaml]
)";
  source.files["a.yaml"] = soft_tire;
  source.files["b/b.yaml"] = "rules:\n  soft_tire:\n    priority: critical\n    was: flat_tire\n";
  const LoadedSite site = load_site("site.yaml", source);
  ASSERT_TRUE(site.plan) << text(site);
  ASSERT_EQ(site.plan->rules.size(), 1U);
  EXPECT_EQ(site.plan->rules[0].priority, Priority::critical);
  EXPECT_EQ(site.plan->rules[0].was, "flat_tire");
  EXPECT_EQ(site.plan->rules[0].file, "a.yaml");
  EXPECT_EQ(site.plan->rules[0].line, 3U);
  EXPECT_NEAR(limit_of(*site.plan, "left_tire"), 40 * psi, 0.1);
}

TEST(Adjust, ChangesWhatSaysWhenAReminderIsDue) {
  const std::string wash = "reminders:\n  wash: {every: 10 d, first: 2 d, message: m}\n";
  const LoadedSite dated = load(wash + "adjust: {wash: {date: 2026-12-01}}\n");
  ASSERT_TRUE(dated.sound()) << text(dated);
  EXPECT_FALSE(dated.plan->reminder_defs.at(0).every);
  EXPECT_EQ(dated.plan->reminder_defs.at(0).anchor, ReminderDef::Anchor::date);

  const std::string dry = "reminders:\n  dry: {due_when: outdoors.temperature > 5 degC, message: m}\n";
  const LoadedSite regular = load(dry + "adjust: {dry: {every: 60 d, first: 3 d}}\n");
  ASSERT_TRUE(regular.sound()) << text(regular);
  EXPECT_TRUE(regular.plan->reminder_defs.at(0).every);
  EXPECT_TRUE(regular.plan->reminders.at(0).due_when.empty());

  EXPECT_FALSE(load(wash + "adjust: {wash: {every: 3 d, date: 2026-12-01}}\n").sound());
}

TEST(Enabled, FalseLeavesNoAlarm) {
  const LoadedSite site = load(soft_tire, "adjust: {soft_tire: {enabled: false}}\n");
  ASSERT_TRUE(site.plan) << text(site);
  EXPECT_TRUE(site.plan->alarms.empty());
}

TEST(Where, IsDecidedFromParameters) {
  const LoadedSite site = load(R"(
rules:
  cold_room:
    applies_to: places
    where: heated
    raise_when: temperature < 2 degC
    off_delay: 1 h
    message: cold
  low_tire:
    applies_to: {kind: tire}
    where: minimum_pressure > 30 psi
    raise_when: pressure < minimum_pressure
    off_delay: 1 h
    message: low
)");
  ASSERT_TRUE(site.plan) << text(site);
  EXPECT_NE(alarm_of(*site.plan, "cold_room", "garage"), nullptr);
  EXPECT_EQ(alarm_of(*site.plan, "cold_room", "shed"), nullptr);
  EXPECT_EQ(alarm_of(*site.plan, "cold_room", "outdoors"), nullptr);
  EXPECT_NE(alarm_of(*site.plan, "low_tire", "right_tire"), nullptr);
  EXPECT_EQ(alarm_of(*site.plan, "low_tire", "left_tire"), nullptr);  // without the parameter: unknown
}

TEST(AppliesTo, SensorsIsEverythingThatHasOne) {
  const LoadedSite site = load(R"(
rules:
  lost:
    applies_to: sensors
    raise_when: sensor_is_silent
    message: "{detail}"
)");
  ASSERT_TRUE(site.plan) << text(site);
  std::vector<std::string> ids;
  for (const AlarmSpec& alarm : site.plan->alarms) ids.push_back(site.plan->entities[alarm.entity].id);
  EXPECT_EQ(ids, (std::vector<std::string>{"outdoors", "radio", "left_tire"}));
}

TEST(Alarm, KnowsTheSensorsThatItRestsOn) {
  const LoadedSite site = load(R"(
rules:
  leaking:
    applies_to: {kind: tire}
    raise_when: verdict == "leaking" or pressure.deviation < -3 psi
    off_delay: 1 h
    message: leaks
)");
  ASSERT_TRUE(site.plan) << text(site);
  const Plan& plan = *site.plan;
  const AlarmSpec* left = alarm_of(plan, "leaking", "left_tire");
  const AlarmSpec* right = alarm_of(plan, "leaking", "right_tire");
  ASSERT_TRUE(left && right);
  const std::uint32_t left_slot = plan.find_slot(plan.find_entity("left_tire"), "pressure");
  const std::uint32_t right_slot = plan.find_slot(plan.find_entity("right_tire"), "pressure");
  EXPECT_EQ(left->sampled_slots, std::vector{left_slot});
  EXPECT_TRUE(std::ranges::count(left->measured_slots, left_slot) == 1);
  EXPECT_TRUE(right->sampled_slots.empty());  // by hand: nothing to wait for
  EXPECT_TRUE(std::ranges::count(right->measured_slots, right_slot) == 1);
}

// Behind an id stands a dot, behind a number of `with` never.
TEST(With, ANumberMayHaveTheNameOfSiteAndGear) {
  FilesInMemory source;
  source.files["site.yaml"] = R"(site: {id: margin, local_time: America/Winnipeg, altitude: 232 m}
places:
  outdoors: {temperature: {topic: yard, unit: degC}}
  back: {temperature: {topic: back, unit: degC}, humidity: {topic: back/rh, unit: "%"}}
gear:
  limit: {kind: tire, place: outdoors, pressure: {topic: left, unit: psi}, minimum_pressure: 40 psi}
rules_from: [standard, r.yaml]
)";
  source.files["r.yaml"] = R"(
rules:
  soft:
    applies_to: {gear: limit}
    with: {limit: 41 psi, back: 2 psi}
    raise_when: limit.pressure < limit and back.temperature < 5 degC
    clear_when: pressure > limit + back
    message: "{limit.pressure} is below {limit}"
)";
  const LoadedSite site = load_site("site.yaml", source);
  ASSERT_TRUE(site.plan) << text(site);
  const AlarmSpec* soft = alarm_of(*site.plan, "soft", "limit");
  ASSERT_TRUE(soft);
  EXPECT_EQ(soft->raise.references.size(), 2U);
  EXPECT_EQ(soft->clear.references.size(), 1U);
  EXPECT_TRUE(alarm_of(*site.plan, "tire_below_expected", "limit"));
}

TEST(History, BreaksAfterTheSilenceOfItsSlowestSensor) {
  const LoadedSite site = load(R"(
rules:
  a:
    applies_to: {gear: left_tire}
    raise_when: lowest(pressure, 1 d) < 40 psi
    off_delay: 1 h
    message: low
  b:
    applies_to: {gear: right_tire}
    raise_when: lowest(pressure, 1 d) < 40 psi
    off_delay: 1 h
    message: low
  c:
    applies_to: {gear: left_tire}
    raise_when: held_for(pressure < 40 psi or radio.online, 1 d)
    off_delay: 1 h
    message: low
)");
  ASSERT_TRUE(site.plan) << text(site);
  EXPECT_EQ(site.plan->alarms[0].raise.histories[0].stale_after, Span(2h));
  EXPECT_EQ(site.plan->alarms[1].raise.histories[0].stale_after, Span::max());
  EXPECT_EQ(site.plan->alarms[2].raise.histories[0].stale_after, Span(2h));  // a boolean is never stale
}

TEST(SuppressedBy, LooksAtTheGatewayThePlaceAndTheSite) {
  const LoadedSite site = load(R"(
rules:
  radio_silent: {applies_to: {kind: gateway}, raise_when: gateway_is_silent, message: silent}
  lost: {applies_to: sensors, raise_when: sensor_is_silent, suppressed_by: radio_silent, message: lost}
)");
  ASSERT_TRUE(site.plan) << text(site);
  const AlarmSpec* tire = alarm_of(*site.plan, "lost", "left_tire");
  const AlarmSpec* outdoors = alarm_of(*site.plan, "lost", "outdoors");
  ASSERT_TRUE(tire && outdoors);
  EXPECT_EQ(tire->suppressed_by, std::vector<std::uint32_t>{0});
  EXPECT_TRUE(outdoors->suppressed_by.empty());
}

TEST(Reminder, KeepsItsIntervalAndItsConditions) {
  const LoadedSite site = load(R"(
reminders:
  gauge_tires:
    applies_to: {kind: tire}
    every: 2 months
    first: 3 d
    grace: 1 week
    done_when: pressure.since_read < 1 d
    good_day_when: outdoors.temperature > 5 degC
    message: Gauge {name}.
    steps: [Warm the gauge., Read it.]
  book:
    date: 2027-03-01
    message: Book the inspection.
)");
  ASSERT_TRUE(site.plan) << text(site);
  const Plan& plan = *site.plan;
  ASSERT_EQ(plan.reminder_defs.size(), 2U);
  EXPECT_EQ(plan.reminder_defs[0].every, (Every{{}, 2}));
  EXPECT_EQ(plan.reminder_defs[0].first, (Every{72h, 0}));
  EXPECT_EQ(plan.reminder_defs[0].grace, Span(168h));
  EXPECT_EQ(plan.reminder_defs[0].steps.size(), 2U);
  EXPECT_EQ(plan.reminder_defs[1].date, Instant(sys_days(2027y / 3 / 1) + 6h));
  ASSERT_EQ(plan.reminders.size(), 3U);
  EXPECT_FALSE(plan.reminders[0].done_when.empty());
  EXPECT_EQ(plan.reminders[2].entity, 0U);  // the site
}

}  // namespace
}  // namespace overwinter
