// When a place is to be aired: after a damp week, which one reading does not tell.
#include <gtest/gtest.h>

#include "tests/rules/engine/lived.h"

namespace overwinter {
namespace {

std::shared_ptr<const Plan> camper(std::string_view humidity) {
  return plan_with(R"(site: {id: alder_bend, local_time: America/Winnipeg, altitude: 232 m}
season: {lay_up: 2026-11-01}
places:
  outdoors: {temperature: {topic: yard, unit: degC}}
  camper: {temperature: {topic: camper, unit: degC}, humidity: )" +
                   std::string(humidity) + "}\nrules_from: [standard]\nadjust: {walkaround: {enabled: false}}\n");
}

bool is_asked(const Lived& lived) {
  for (const Event& event : lived.events) {
    if (event.kind == EventKind::reminder_due && event.reminder == "air_out") return true;
  }
  return false;
}

constexpr int whole = 25 * 24;  // hours

std::vector<Mail> mild_days() {
  return together({hourly("yard", "2026-11-02T00:00:00Z", whole, [](int) { return 5.0; }),
                   hourly("camper", "2026-11-02T00:01:00Z", whole, [](int) { return 6.0; })});
}

TEST(AirOut, IsAskedForAfterADampWeek) {
  const auto damp = hourly("damp", "2026-11-02T00:02:00Z", whole, [](int) { return 86.0; });
  EXPECT_TRUE(is_asked(live(camper(R"({topic: damp, unit: "%"})"), together({mild_days(), damp}))));
}

TEST(AirOut, IsNotAskedForByWhatAPersonReadOnce) {
  const Mail read =
      command("2026-11-02T18:00:00Z", "record", R"({"gear":"camper","quantity":"humidity","value":"86 %"})");
  EXPECT_FALSE(is_asked(live(camper("by_hand"), together({mild_days(), {read}}))));
}

}  // namespace
}  // namespace overwinter
