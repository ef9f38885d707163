// Measured and expected meet at one instant, that of the reading, and stand until the next one.
// Expected from the ideal gas law, absolute pressure in proportion to absolute temperature (CRC Handbook of Chemistry
// and Physics, from memory); a tire may have lost a little by seepage since its fill, at most 2 psi in these weeks.
#include <gtest/gtest.h>

#include "tests/rules/engine/story.h"
#include "tests/winter/replay_in_memory.h"

namespace overwinter {
namespace {

constexpr std::string_view one_instant_site = R"(
places:
  outdoors: {temperature: {topic: yard, unit: degC}}
gear:
  left: {kind: tire, place: outdoors, filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}, pressure: {topic: left, unit: psi}, temperature: {topic: left/t, unit: degC}}
  right: {kind: tire, place: outdoors, filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}, pressure: by_hand, temperature: {topic: right/t, unit: degC}}
rules_from: [rules.yaml]
)";

constexpr std::string_view off = R"(
rules:
  off: {applies_to: {kind: tire}, raise_when: abs(pressure.deviation) > 5 psi, message: Off.}
)";

constexpr double psi_here = 6894.757293;
constexpr double atmosphere = 101325;

double ideal_gas(double degrees_c) {
  return (52 * psi_here + atmosphere) * (degrees_c + 273.15) / ((61 - 32) / 1.8 + 273.15) - atmosphere;
}

// Expected of a pressure gauged by hand at 01:00, told of at 05:00.
std::optional<double> expected_of(std::string_view temperatures) {
  const auto plan = plan_of(one_instant_site, off);
  const std::string story = std::string(temperatures) +
                            "12-01 12:00 do/record {\"gear\":\"right\",\"quantity\":\"pressure\",\"value\":\"50 "
                            "psi\",\"at\":\"2026-12-01T01:00:00Z\"}\n";
  for (const Event& e : replay_in_memory(plan, inputs_of(plan, capture_of(story))).events) {
    if (e.kind == EventKind::hand_reading) return e.expected;
  }
  ADD_FAILURE() << "no hand reading";
  return std::nullopt;
}

void expect_at(double degrees_c, std::optional<double> expected) {
  ASSERT_TRUE(expected.has_value());
  EXPECT_LT(*expected, ideal_gas(degrees_c) + 0.1 * psi_here);
  EXPECT_GT(*expected, ideal_gas(degrees_c) - 2 * psi_here);
}

// Tires are gauged first, and the thermometer is read on the way back.
TEST(OneInstant, AReadingIsJudgedWhenItsThermometerSpeaksAFewMinutesLater) {
  const auto plan = plan_of(one_instant_site, off);
  const std::string record = R"(do/record {"gear":"right","quantity":"pressure","value":"30 psi"})";
  const auto raised = [&](std::string_view thermometer) {
    return told(plan, "12-01 12:00 " + record + "\n" + std::string(thermometer) + "\n", {"off"});
  };
  EXPECT_EQ(raised("12-01 12:05 right/t 10"), "12-01 12:05:00 alarm_raised off right\n");
  EXPECT_EQ(raised("12-01 14:30 right/t 10"), "") << "of another time";
}

TEST(OneInstant, IsBetweenTwoNeighborsUpToTwoHoursApart) {
  expect_at(0, expected_of("12-01 00:00 right/t 20\n12-01 02:00 right/t -20\n"));
}

TEST(OneInstant, IsOfTheNearestWhenTheyAreFartherApart) {
  expect_at(20, expected_of("12-01 00:00 right/t 20\n12-01 04:00 right/t -20\n"));
  expect_at(-20, expected_of("11-30 22:00 right/t 20\n12-01 02:00 right/t -20\n"));
}

TEST(OneInstant, IsNotKnownBeyondStaleAfter) {
  expect_at(20, expected_of("11-30 19:00 right/t 20\n12-01 11:00 yard 20\n"));
  EXPECT_EQ(expected_of("11-30 18:59 right/t 20\n12-01 11:00 yard 20\n"), std::nullopt);
}

TEST(OneInstant, StandsWhateverTheWeatherDoesAfterwards) {
  const auto plan = plan_of(one_instant_site, off);
  EXPECT_EQ(told(plan, R"(
    12-01 00:00 left/t 14
    12-01 00:00 left 51
    12-01 00:30 left/t -30
    12-01 00:40 left/t -30
    12-01 01:00 left/t -30
    12-01 02:00 left 51
    12-01 02:10 left 51
  )",
                 {"off"}),
            "12-01 02:10:00 alarm_raised off left\n");
}

// What a person reads beside a thermometer that speaks is told as a difference; the tire follows the thermometer.
TEST(OneInstant, AHandReadingBesideAFreshSensorIsNotWhatTheGearFollows) {
  const auto expected_after = [](std::string_view by_hand) {
    const auto plan = plan_of(R"(
places:
  outdoors: {temperature: {topic: yard, unit: degC}}
gear:
  left: {kind: tire, place: outdoors, filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}, pressure: by_hand}
)");
    std::string story;
    for (int hour = 0; hour < 12; ++hour) {
      story += "12-01 " + std::string(hour < 10 ? "0" : "") + std::to_string(hour) + ":00 yard -5\n";
      if (hour == 10) story += std::string(by_hand);
    }
    story += "12-01 11:10 do/record {\"gear\":\"left\",\"quantity\":\"pressure\",\"value\":\"45 psi\"}\n";
    for (const Event& e : replay_in_memory(plan, inputs_of(plan, capture_of(story))).events) {
      if (e.kind == EventKind::hand_reading && e.quantity == "pressure") return e.expected;
    }
    return std::optional<double>();
  };
  const auto without = expected_after("");
  ASSERT_TRUE(without.has_value());
  EXPECT_EQ(expected_after(
                "12-01 10:50 do/record {\"gear\":\"outdoors\",\"quantity\":\"temperature\",\"value\":\"-25 degC\"}\n"),
            without);
  EXPECT_EQ(expected_after("12-01 10:50 do/record "
                           "{\"gear\":\"outdoors\",\"quantity\":\"temperature\",\"value\":\"-25 "
                           "degC\",\"at\":\"2026-12-01T09:30:00Z\"}\n"),
            without);
}

}  // namespace
}  // namespace overwinter
