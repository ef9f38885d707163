// What the digest asks for, and says, of a battery.
#include <gtest/gtest.h>

#include <functional>

#include "tests/rules/engine/lived.h"

namespace overwinter {
namespace {

constexpr std::string_view battery_in_garage = R"(
site: {id: alder_bend, local_time: America/Winnipeg}
season: {lay_up: 2026-10-31}
places:
  garage: {temperature: {topic: garage, unit: degC}}
gear:
  house_battery: {kind: lead_acid_battery, place: garage, capacity: 85 Ah, voltage: {topic: volts, unit: V}}
)";

// The first week of a run-down battery, hour by hour.
std::string digest_of_battery(const std::function<double(int)>& celsius, const std::function<double(int)>& volts) {
  constexpr std::string_view from = "2026-11-02T06:00:00Z";
  return digests(live(plan_with(battery_in_garage),
                      together({hourly("garage", from, 24 * 7, celsius), hourly("volts", from, 24 * 7, volts)})))
      .front();
}

double run_down(int hour) { return hour % 2 == 0 ? 11.700 : 11.701; }

// A frozen battery on a charger can explode (US Army TM 5-1185 forbids it): no word of charging while it may be frozen.
TEST(Digest, AsksNobodyToChargeABatteryThatMayBeFrozen) {
  const auto mild = digest_of_battery([](int) { return 5; }, run_down);
  EXPECT_NE(mild.find("To do: Charge house battery"), std::string::npos) << mild;
  const auto cold = digest_of_battery([](int i) { return i < 72 ? 5 : -14; }, run_down);
  EXPECT_NE(cold.find("House battery may freeze"), std::string::npos) << cold;
  EXPECT_EQ(cold.find("Charge"), std::string::npos) << cold;
}

// 13.5 V is a charger's voltage: 2.25 V a cell, float (common practice, no source).
TEST(Digest, AsksNobodyToChargeABatteryThatStandsOnItsCharger) {
  const auto text = digest_of_battery([](int) { return 5; }, [](int i) { return i < 160 ? run_down(i) : 13.5; });
  EXPECT_NE(text.find("House battery wants charging"), std::string::npos) << text;
  EXPECT_EQ(text.find("To do: Charge house battery"), std::string::npos) << text;
}

// What follows a sensor by medians of days rests on that sensor all the same.
TEST(Digest, SaysOfABatteryWhoseSensorIsSilentThatItWasNotSeen) {
  constexpr std::string_view rule = R"(
rules:
  low: {applies_to: {kind: lead_acid_battery}, raise_when: state_of_charge < 50 %, off_delay: 1 h, message: m}
)";
  constexpr std::string_view from = "2026-11-02T06:00:00Z";
  const std::string site = std::string(battery_in_garage) + "rules_from: [rules.yaml]\n";
  const auto texts = digests(live(
      plan_with(site, rule),
      together({hourly("garage", from, 24 * 14, [](int) { return 5; }), hourly("volts", from, 24 * 7, run_down)})));
  ASSERT_EQ(texts.size(), 2U);
  EXPECT_EQ(texts[0].find("Nothing was watched"), std::string::npos) << texts[0];
  EXPECT_NE(texts[1].find("House battery was seen for only"), std::string::npos) << texts[1];
}

}  // namespace
}  // namespace overwinter
