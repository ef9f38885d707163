// The rules that ship, on the site of the examples.
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <set>

#include "config/site_file.h"
#include "tests/places.h"

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

}  // namespace
}  // namespace overwinter
