// A leak that only a stick gauge sees: three readings by hand over two weeks make a trend, fewer or sooner ones do not.
#include <gtest/gtest.h>

#include "tests/rules/engine/story.h"

namespace overwinter {
namespace {

// Filled to 52 psi at 61 degF; at -5 degC it should read 47.1 psi by the ideal gas law, less some seepage.
constexpr std::string_view gauged = R"(
season: {lay_up: 2026-10-31}
places:
  outdoors: {temperature: {topic: yard, unit: degC}}
gear:
  left: {kind: tire, place: outdoors, filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}, pressure: by_hand}
rules_from: [standard]
)";

// A walk around: the air, and the gauge half an hour later.
std::string gauge(std::string_view day, std::string_view psi) {
  const std::string d(day);
  return d + " 17:30 yard -5\n" + d + R"( 18:00 do/record {"gear":"left","quantity":"pressure","value":")" +
         std::string(psi) + " psi\"}\n";
}

std::string leaks(const std::string& story) { return told(plan_of(gauged), story, {"tire_leaking"}); }

TEST(HandTrend, OfThreeFallingReadingsOverTwoWeeksIsALeak) {
  EXPECT_EQ(leaks(gauge("11-05", "47") + gauge("11-12", "44.5") + gauge("11-20", "41.5")),
            "11-20 18:00:00 alarm_raised tire_leaking left\n");
}

TEST(HandTrend, NeedsThreeReadings) { EXPECT_EQ(leaks(gauge("11-05", "47") + gauge("11-20", "41.5")), ""); }

TEST(HandTrend, NeedsTwoWeeks) {
  EXPECT_EQ(leaks(gauge("11-05", "47") + gauge("11-10", "44.5") + gauge("11-17", "41.5")), "");
}

TEST(HandTrend, NeedsEveryReadingToFall) {
  EXPECT_EQ(leaks(gauge("11-05", "44.5") + gauge("11-12", "47") + gauge("11-20", "44.5")), "");
}

TEST(HandTrend, OfASteadyTireIsNone) {
  EXPECT_EQ(leaks(gauge("11-05", "46.5") + gauge("11-20", "46.5") + gauge("12-05", "46") + gauge("12-20", "46")), "");
}

TEST(HandTrend, IsLessThanTheGaugeCanTell) {
  EXPECT_EQ(leaks(gauge("11-05", "47") + gauge("11-12", "46.5") + gauge("11-20", "46")), "");
}

TEST(HandTrend, BeginsAnewWithAFill) {
  const std::string fill =
      R"(11-13 18:00 do/act {"gear":"left","act":"filled","pressure":"52 psi","temperature":"23 degF"})"
      "\n";
  EXPECT_EQ(leaks(gauge("11-05", "47") + gauge("11-12", "44.5") + fill + gauge("11-20", "48.5")), "");
  EXPECT_EQ(leaks(fill + gauge("11-20", "51") + gauge("11-27", "48") + gauge("12-05", "45")),
            "12-05 18:00:00 alarm_raised tire_leaking left\n");
}

TEST(HandTrend, OutlivesARestart) {
  const std::string story = gauge("11-05", "47") + gauge("11-12", "44.5") + "---\n" + gauge("11-20", "41.5");
  EXPECT_EQ(told_over_reload(plan_of(gauged), plan_of(gauged), story, {"tire_leaking"}),
            "11-20 18:00:00 alarm_raised tire_leaking left\n");
}

}  // namespace
}  // namespace overwinter
