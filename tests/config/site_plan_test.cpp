// What a plan holds after loading: the example of Alder Bend, and what the site file says of itself.
#include <gtest/gtest.h>

#include <algorithm>
#include <string>

#include "config/site_file.h"
#include "tests/config/small_site.h"
#include "tests/places.h"

namespace overwinter {
namespace {

using namespace std::chrono_literals;
using std::chrono::sys_days;

const std::filesystem::path data = places::repository() / "tests/config/data";

// LANGUAGE: metric shows kPa, of tires bar. A margin beside a tire's pressure is shown as that one.
TEST(SitePlan, APressureUnderWithIsShownAsTheTiresAre) {
  const LoadedSite site = load(
      "rules:\n  soft: {applies_to: {kind: tire}, with: {margin: 3 psi}, raise_when: pressure < 40 psi, off_delay: 1 "
      "h, "
      "message: '{pressure} {margin}'}\n");
  ASSERT_TRUE(site.sound()) << text(site);
  for (const MessageTemplate::Part& part : site.plan->alarms.at(0).message.parts) {
    if (part.kind != MessageTemplate::Kind::value) continue;
    EXPECT_EQ(part.program.shown, Shown::tire_pressure);
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

TEST(Yaml, AFileMaySayThatItIsWhatIsRead) {
  FilesInMemory source;
  for (const std::string directive : {"%YAML 1.2\n---\n", "# ours\n%YAML 1.2 # as ever\n---\n", "---\n"}) {
    source.files["site.yaml"] = directive + "site: {id: home, local_time: UTC}\nrules_from: []\n";
    const LoadedSite site = load_site("site.yaml", source);
    EXPECT_TRUE(site.plan) << directive << text(site);
  }
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

}  // namespace
}  // namespace overwinter
