// What a plan holds after loading: the example of Alder Bend, and rules that other files adjust.
#include <gtest/gtest.h>

#include <algorithm>
#include <string>

#include "config/site_file.h"
#include "tests/places.h"

namespace overwinter {
namespace {

using namespace std::chrono_literals;
using std::chrono::sys_days;

const std::filesystem::path data = places::repository() / "tests/config/data";

// A site with two tires, one room, and the rule file r.yaml.
LoadedSite load(const std::string& rules, const std::string& more = {}) {
  FilesInMemory source;
  source.files["site.yaml"] = R"(site: {id: home, local_time: America/Winnipeg, altitude: 232 m}
places:
  outdoors:
    temperature: {topic: yard, unit: degC}
  garage: {heated: true}
  shed: {}
gear:
  radio: {kind: gateway, place: shed, online: {topic: radio}}
  left_tire:
    kind: tire
    place: outdoors
    pressure: {topic: left, unit: psi, via: radio, stale_after: 2 h}
  right_tire: {kind: tire, place: outdoors, pressure: by_hand, minimum_pressure: 40 psi}
rules_from: [r.yaml]
)" + more;
  source.files["r.yaml"] = rules;
  return load_site("site.yaml", source);
}

const std::string soft_tire = R"(
rules:
  soft_tire:
    applies_to: {kind: tire}
    with: {limit: 40 psi, back: 2 psi}
    raise_when: pressure < limit
    clear_when: pressure > limit + back
    message: "{pressure}"
)";

std::string text(const LoadedSite& site) { return render_faults(site); }

// LANGUAGE: metric shows kPa, of tires bar. A margin beside a tire's pressure is shown as that one.
TEST(SitePlan, APressureUnderWithIsShownAsTheTiresAre) {
  const LoadedSite site = load(
      "rules:\n  soft: {applies_to: {kind: tire}, with: {margin: 3 psi}, raise_when: pressure < 40 psi, off_delay: 1 "
      "h, "
      "message: '{pressure} {margin}'}\n");
  ASSERT_TRUE(site.sound()) << text(site);
  for (const MessageTemplate::Part& part : site.plan->alarms.at(0).message.parts) {
    if (part.kind == MessageTemplate::Kind::value) EXPECT_EQ(part.program.shown, Shown::tire_pressure);
  }
}

TEST(SitePlan, KnowsWhetherTheOutdoorsAreDeclared) {
  const auto declared = [](const char* place) {
    FilesInMemory source;
    source.files["site.yaml"] =
        std::string("site: {id: home, local_time: UTC, altitude: 0 m}\nplaces: {") + place + ": {}}\nrules_from: []\n";
    return load_site("site.yaml", source).plan->outdoors_given;
  };
  EXPECT_TRUE(declared("outdoors"));
  EXPECT_FALSE(declared("shed"));
}

const AlarmSpec* alarm_of(const Plan& plan, std::string_view rule, std::string_view id) {
  for (const AlarmSpec& alarm : plan.alarms) {
    if (plan.rules[alarm.rule].name == rule && plan.entities[alarm.entity].id == id) return &alarm;
  }
  return nullptr;
}

// The first constant of a condition such as `pressure < limit`.
double limit_of(const Plan& plan, std::string_view id) {
  const AlarmSpec* alarm = alarm_of(plan, "soft_tire", id);
  return alarm && !alarm->raise.constants.empty() ? alarm->raise.constants[0] : 0;
}

constexpr double psi = 6894.757293168361;  // Pa; NIST SP 811, table B.8

TEST(AlderBend, LoadsWithoutAnError) {
  const LoadedSite site = load_site(data / "alder-bend/site.yaml");
  EXPECT_TRUE(site.sound()) << text(site);
  EXPECT_TRUE(std::ranges::none_of(site.faults, [](const Fault& f) { return f.severity == Severity::error; }))
      << text(site);
}

TEST(AlderBend, HasItsPlacesAndGearInTheOrderOfTheFile) {
  const LoadedSite site = load_site(data / "alder-bend/site.yaml");
  ASSERT_TRUE(site.plan) << text(site);
  std::vector<std::string> ids;
  for (const Entity& entity : site.plan->entities) ids.push_back(entity.id);
  const std::vector<std::string> expected{"alder_bend",         "outdoors",         "garage",           "camper",
                                          "camper_radio",       "left_front_tire",  "right_front_tire", "house_battery",
                                          "portable_generator", "refrigerator_door"};
  EXPECT_EQ(ids, expected);
  EXPECT_EQ(site.plan->entities[6].name, "right front tire");
  EXPECT_EQ(site.plan->entities[5].name, "Left front tire");
}

TEST(AlderBend, StartsItsSeasonAtLocalMidnight) {
  const LoadedSite site = load_site(data / "alder-bend/site.yaml");
  ASSERT_TRUE(site.plan) << text(site);
  // Manitoba: UTC-5 until the first Sunday of November, UTC-6 after, -5 again from the second Sunday of March (IANA
  // tz).
  EXPECT_EQ(site.plan->lay_up, Instant(sys_days(2026y / 10 / 31) + 5h));
  EXPECT_EQ(site.plan->return_to_service, Instant(sys_days(2027y / 4 / 20) + 5h));
  EXPECT_EQ(site.plan->zone.offset_at(Instant(sys_days(2027y / 1 / 1))), -6h);
  EXPECT_EQ(site.plan->zone.offset_at(Instant(sys_days(2036y / 7 / 1))), -5h);
}

TEST(AlderBend, ConvertsParametersAndBindings) {
  const LoadedSite site = load_site(data / "alder-bend/site.yaml");
  ASSERT_TRUE(site.plan) << text(site);
  const Plan& plan = *site.plan;
  const std::uint32_t tire = plan.find_entity("left_front_tire");
  EXPECT_NEAR(*plan.slots[plan.find_slot(tire, "minimum_pressure")].value, 40 * psi, 0.1);
  EXPECT_NEAR(*plan.slots[plan.find_slot(tire, "filled.pressure")].value, 52 * psi, 0.1);
  EXPECT_NEAR(*plan.slots[plan.find_slot(tire, "filled.temperature")].value, (61 - 32) / 1.8, 1e-9);
  EXPECT_FALSE(plan.slots[plan.find_slot(tire, "cold_pressure")].value.has_value());
  const std::uint32_t battery = plan.find_entity("house_battery");
  EXPECT_NEAR(*plan.slots[plan.find_slot(battery, "capacity")].value, 85 * 3600, 1e-6);
  EXPECT_TRUE(plan.slots[plan.find_slot(battery, "cells")].assumed);

  const Slot& pressure = plan.slots[plan.find_slot(tire, "pressure")];
  ASSERT_NE(pressure.sensor, no_index);
  const Sensor& sensor = plan.sensors[pressure.sensor];
  EXPECT_EQ(sensor.topic, "camper/tire/lf");
  EXPECT_EQ(sensor.pointer, "/kpa");
  EXPECT_EQ(sensor.reads, PressureReads::sealed);
  EXPECT_EQ(sensor.via, plan.find_entity("camper_radio"));
  EXPECT_EQ(sensor.stale_after, Span(6h));
  EXPECT_DOUBLE_EQ(sensor.unit.scale, 1000);
  EXPECT_TRUE(plan.slots[plan.find_slot(plan.find_entity("right_front_tire"), "pressure")].by_hand);
  EXPECT_EQ(plan.sensors[plan.slots[plan.find_slot(battery, "shore_power")].sensor].stale_after, Span::max());
}

TEST(AlderBend, TakesTheAdjustmentsOfItsRuleFile) {
  const LoadedSite site = load_site(data / "alder-bend/site.yaml");
  ASSERT_TRUE(site.plan) << text(site);
  EXPECT_NE(alarm_of(*site.plan, "tire_below_expected", "left_front_tire"), nullptr);
  EXPECT_NE(alarm_of(*site.plan, "tire_below_expected", "right_front_tire"), nullptr);
  EXPECT_EQ(alarm_of(*site.plan, "sensor_silent", "camper"), nullptr);  // enabled: false
}

TEST(TimeZoneTable, FollowsTheRuleOfEachZoneBeyondTheSystemsFiles) {
  // Rules as of IANA tz 2024: North America second Sunday of March to first of November; South Australia first Sunday
  // of October to first of April; Iceland none.
  const auto zone_of = [](const std::string& name) {
    FilesInMemory source;
    source.files["site.yaml"] = "site: {id: home, local_time: " + name + "}\nrules_from: []\n";
    const LoadedSite site = load_site("site.yaml", source);
    return site.plan ? site.plan->zone : TimeZone{};
  };
  const TimeZone winnipeg = zone_of("America/Winnipeg");
  // 2056-03-12 is the second Sunday; clocks move at 02:00 CST = 08:00Z.
  EXPECT_EQ(winnipeg.offset_at(Instant(sys_days(2056y / 3 / 12) + 7h + 59min)), -6h);
  EXPECT_EQ(winnipeg.offset_at(Instant(sys_days(2056y / 3 / 12) + 8h)), -5h);
  EXPECT_EQ(winnipeg.offset_at(Instant(sys_days(2056y / 11 / 5) + 7h)), -6h);
  EXPECT_EQ(zone_of("Australia/Adelaide").offset_at(Instant(sys_days(2080y / 1 / 15))), 10h + 30min);
  EXPECT_EQ(zone_of("Australia/Adelaide").offset_at(Instant(sys_days(2080y / 7 / 15))), 9h + 30min);
  EXPECT_EQ(zone_of("Atlantic/Reykjavik").offset_at(Instant(sys_days(2080y / 7 / 15))), 0h);
}

TEST(SiteFile, NeedsOnlyAnIdAndATimeZone) {
  FilesInMemory source;
  source.files["site.yaml"] = "site: {id: home, local_time: Europe/Helsinki}\n";
  const LoadedSite site = load_site("site.yaml", source);
  ASSERT_TRUE(site.plan) << text(site);
  EXPECT_EQ(site.plan->topic_root, "overwinter/home");
  EXPECT_EQ(site.plan->units, DisplayUnits::metric);
  EXPECT_FALSE(site.plan->broker.given);
  EXPECT_EQ(site.plan->digest.weekday, 0U);
  EXPECT_EQ(site.plan->digest.at, Span(18h));
  EXPECT_FALSE(site.plan->rules.empty() && site.plan->alarms.empty() && site.plan->reminders.empty());
}

TEST(Gear, WithoutAPlaceStandsWhereNothingIsKnown) {
  FilesInMemory source;
  source.files["site.yaml"] =
      "site: {id: home, local_time: UTC, altitude: 0 m}\ngear: {spare: {kind: tire, pressure: by_hand}}\nrules_from: "
      "[]\n";
  const LoadedSite site = load_site("site.yaml", source);
  ASSERT_TRUE(site.plan) << text(site);
  const Entity& spare = site.plan->entities[site.plan->find_entity("spare")];
  EXPECT_EQ(site.plan->entities[spare.place].id, "no place");
}

TEST(Gear, WithoutAPlaceTakesNoNameFromTheSite) {
  FilesInMemory source;
  source.files["site.yaml"] = R"(
site: {id: home, local_time: UTC}
places: {unplaced: {temperature: by_hand}}
gear: {spare_tire: {kind: tire, pressure: by_hand}, hatch: {kind: door_or_vent, should_be: closed, open: by_hand, place: unplaced}}
rules_from: [r.yaml]
)";
  source.files["r.yaml"] = R"(
rules:
  cold: {applies_to: places, raise_when: temperature < 0 degC, off_delay: 1 h, message: m}
  here: {applies_to: {place: unplaced}, raise_when: unplaced.temperature < 0 degC, off_delay: 1 h, message: m}
)";
  const LoadedSite site = load_site("site.yaml", source);
  ASSERT_TRUE(site.sound()) << text(site);
  EXPECT_NE(alarm_of(*site.plan, "cold", "unplaced"), nullptr);
  EXPECT_NE(alarm_of(*site.plan, "here", "unplaced"), nullptr);
  const std::uint32_t spare = site.plan->find_entity("spare_tire");
  EXPECT_NE(site.plan->entities[spare].place, site.plan->find_entity("unplaced"));
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

TEST(Yaml, AFileMaySayThatItIsWhatIsRead) {
  FilesInMemory source;
  for (const std::string directive : {"%YAML 1.2\n---\n", "# ours\n%YAML 1.2 # as ever\n---\n", "---\n"}) {
    source.files["site.yaml"] = directive + "site: {id: home, local_time: UTC}\nrules_from: []\n";
    const LoadedSite site = load_site("site.yaml", source);
    EXPECT_TRUE(site.plan) << directive << text(site);
  }
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

TEST(Include, MergesMapsOfFilesBesideIt) {
  FilesInMemory source;
  source.files["etc/site.yaml"] =
      "include: [parts/gear.yaml]\nsite: {id: home, local_time: UTC}\nplaces: {camper: {}}\nrules_from: []\n";
  source.files["etc/parts/gear.yaml"] = "include: [more.yaml]\ngear: {a_tire: {kind: tire, place: camper}}\n";
  source.files["etc/parts/more.yaml"] = "places: {garage: {was: barn}}\nbroker: {password_file: pw, user: me}\n";
  const LoadedSite site = load_site("etc/site.yaml", source);
  ASSERT_TRUE(site.plan) << text(site);
  EXPECT_NE(site.plan->find_entity("a_tire"), no_index);
  EXPECT_EQ(site.plan->entities[site.plan->find_entity("garage")].was, "barn");
  EXPECT_EQ(site.plan->broker.password_file, "etc/parts/pw");
  EXPECT_EQ(site.files.size(), 3U);
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
