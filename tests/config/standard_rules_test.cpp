// The rules that ship: each file by itself, and all of them, load on a full site without a word.
#include <gtest/gtest.h>

#include <algorithm>
#include <string>

#include "config/site_file.h"
#include "rules/standard/standard_files.h"

namespace overwinter {
namespace {

// One of each kind that the rules apply to, with a source for all that they look at.
constexpr std::string_view site = R"(site: {id: home, local_time: America/Winnipeg, altitude: 232 m}
season: {lay_up: 2026-10-31, return_to_service: 2027-04-20}
places:
  outdoors:
    temperature: {topic: yard, pointer: /t, unit: degC}
    humidity: {topic: yard, pointer: /rh, unit: "%"}
    station_pressure: {topic: yard, pointer: /p, unit: hPa}
  garage:
    heated: true
    set_temperature: 45 degF
    temperature: {topic: garage, pointer: /t, unit: degC}
    humidity: {topic: garage, pointer: /rh, unit: "%"}
  camper:
    temperature: {topic: camper, pointer: /t, unit: degC, via: radio}
    humidity: {topic: camper, pointer: /rh, unit: "%", via: radio}
gear:
  radio: {kind: gateway, place: camper, online: {topic: radio}}
  tire_of_the_camper:
    kind: tire
    place: outdoors
    filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}
    cold_pressure: 52 psi
    minimum_pressure: 40 psi
    maximum_pressure: 65 psi
    date_code: "2424"
    pressure: {topic: tire, pointer: /p, unit: kPa, via: radio}
    temperature: {topic: tire, pointer: /t, unit: degC, via: radio}
  battery:
    kind: lead_acid_battery
    chemistry: flooded
    capacity: 85 Ah
    place: garage
    charged: {date: 2026-10-31}
    voltage: {topic: battery, unit: V}
    shore_power: {topic: socket}
  genset: {kind: generator, place: garage, running: {topic: genset}, oil: {changed: 2026-09-01, hours: 50 h}}
  fridge: {kind: door_or_vent, place: camper, should_be: open, open: {topic: fridge}}
  detector: {kind: dated_item, place: camper, installed: {date: 2024-01-01}, replace_after: 5 year, test_every: 30 d}
)";

std::string told(const std::string& more, const FilesInMemory& with) {
  FilesInMemory source = with;
  source.files["site.yaml"] = std::string(site) + more;
  return render_faults(load_site("site.yaml", source));
}

TEST(StandardRules, LoadTogetherWithoutAWord) {
  ASSERT_FALSE(standard_files().empty());
  EXPECT_EQ(told("rules_from: [standard]\n", {}), "");
}

TEST(StandardRules, AreTheDefault) { EXPECT_EQ(told("", {}), ""); }

TEST(StandardRules, EachFileLoadsByItselfWithoutAWord) {
  for (const StandardFile& file : standard_files()) {
    FilesInMemory source;
    source.files[std::string(file.name)] = file.text;
    EXPECT_EQ(told("rules_from: [" + std::string(file.name) + "]\n", source), "") << file.name;
  }
}

// So that each rule's texts were read with real names: a rule that applies to nothing says nothing.
TEST(StandardRules, EachAppliesToSomethingHere) {
  FilesInMemory source;
  source.files["site.yaml"] = site;
  const LoadedSite loaded = load_site("site.yaml", source);
  ASSERT_TRUE(loaded.sound());
  for (std::uint32_t rule = 0; rule < loaded.plan->rules.size(); ++rule) {
    EXPECT_TRUE(std::ranges::any_of(loaded.plan->alarms, [&](const AlarmSpec& a) { return a.rule == rule; }))
        << loaded.plan->rules[rule].name;
  }
  for (std::uint32_t def = 0; def < loaded.plan->reminder_defs.size(); ++def) {
    EXPECT_TRUE(std::ranges::any_of(loaded.plan->reminders, [&](const auto& r) { return r.def == def; }))
        << loaded.plan->reminder_defs[def].name;
  }
}

// Each name that others may adjust, acknowledge or test.
TEST(StandardRules, CanBeAdjustedByTheNamesThatStand) {
  std::string adjust = "adjust:\n";
  for (const std::string_view name :
       {"tire_below_expected", "tire_leaking", "tire_sudden_loss", "battery_recharge", "battery_may_freeze",
        "charger_failed", "heating_failed", "thaw_condensation", "wet_source_suspected", "mold_likely",
        "door_or_vent_wrong", "sensor_silent", "sensor_stuck", "sensors_jumped_together", "gateway_silent",
        "journal_unwritable", "exercise_generator", "charge_battery"}) {
    adjust += "  " + std::string(name) + ": {priority: high}\n";
  }
  EXPECT_EQ(told(adjust, {}), "");
}

}  // namespace
}  // namespace overwinter
