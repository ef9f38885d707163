// A wet floor through a winter of fronts and frost, by the standard rules: one alarm, not one for each dry cold spell.
#include <gtest/gtest.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <string>

#include "tests/rules/engine/story.h"
#include "tests/rules/gear/place_winter.h"
#include "tests/winter/replay_in_memory.h"

namespace overwinter {
namespace {

constexpr std::string_view camper_with_hygrometer = R"(
places:
  outdoors: {temperature: {topic: yard_t, unit: degC}, humidity: {topic: yard_h, unit: "%"}}
  camper: {temperature: {topic: camper_t, unit: degC}, humidity: {topic: camper_h, unit: "%"}}
rules_from: [standard]
)";

// Half-hourly readings from the first of November on; the floor is wet from day 20, dried out at `dried`.
std::string wet_winter(MadeUpWinter& winter, double days, double dried) {
  std::string story;
  while (winter.day() < days) {
    winter.step();
    winter.wet_floor = winter.day() >= 20 && winter.day() < dried;
    if (winter.day() == dried) winter.wood_humidity = 0.75;
    const auto at = std::chrono::sys_days(std::chrono::November / 1 / 2026) +
                    std::chrono::minutes(static_cast<int>(winter.day() * 1440));
    const auto midnight = std::chrono::floor<std::chrono::days>(at);
    const std::chrono::year_month_day date(midnight);
    const int minute = static_cast<int>(std::chrono::duration_cast<std::chrono::minutes>(at - midnight).count());
    const auto say = [&](const char* topic, double value) {
      char line[80];
      std::snprintf(line, sizeof line, "%02u-%02u %02d:%02d %s %.1f\n", static_cast<unsigned>(date.month()),
                    static_cast<unsigned>(date.day()), minute / 60, minute % 60, topic, value);
      story += line;
    };
    say("yard_t", winter.measured(winter.outside, 0.1, 0.1));
    say("yard_h", std::min(100 * winter.measured(winter.outside_humidity, 0.01, 0.01), 100.0));
    say("camper_t", winter.measured(winter.inside, 0.1, 0.1));
    say("camper_h", std::min(100 * winter.measured(winter.inside_humidity, 0.01, 0.01), 100.0));
  }
  return story;
}

TEST(WetSource, IsToldOnceWhileItGoesOn) {
  for (const double mean : {-4.0, 3.0}) {
    for (const double air_changes : {0.4, 1.0}) {
      MadeUpWinter winter;
      winter.mean = mean;
      winter.air_changes = air_changes;
      const std::string events =
          told(plan_of(camper_with_hygrometer), wet_winter(winter, 160, 1000), {"wet_source_suspected"});
      EXPECT_EQ(std::ranges::count(events, '\n'), 1) << mean << " degC, " << air_changes << " 1/h:\n" << events;
      EXPECT_NE(events.find("alarm_raised"), std::string::npos);
    }
  }
}

// A week without dampness, the 36 h that are looked at, and the rule's own day.
TEST(WetSource, IsOverWhenThePlaceWasDryForAWeek) {
  MadeUpWinter winter;
  winter.mean = 3;
  const std::string events =
      told(plan_of(camper_with_hygrometer), wet_winter(winter, 60, 40), {"wet_source_suspected"});
  EXPECT_EQ(std::ranges::count(events, '\n'), 2) << events;
  const std::size_t cleared = events.find("alarm_cleared");
  ASSERT_NE(cleared, std::string::npos) << events;
  EXPECT_EQ(events.substr(cleared - 15, 5), "12-20") << "dried out on 12-11: " << events;
}

// Hourly readings of the same air from hour `first` of November on.
std::string hours(int first, int last, int yard, int yard_humidity, int camper, int camper_humidity) {
  std::string story;
  for (int hour = first; hour < last; ++hour) {
    const auto say = [&](const char* topic, int value) {
      char line[80];
      std::snprintf(line, sizeof line, "11-%02d %02d:00 %s %d\n", 1 + hour / 24, hour % 24, topic, value);
      story += line;
    };
    say("yard_t", yard);
    say("yard_h", yard_humidity);
    say("camper_t", camper);
    say("camper_h", camper_humidity);
  }
  return story;
}

// At -28 degC the air above ice is saturated at 76 % over water (Murphy and Koop 2005): no air is damper than that, and
// a hygrometer below 80 % says nothing of a floor that is frozen and wet.
TEST(WetSource, IsNotOverInAFrostInWhichNoAirIsDamp) {
  const std::string story = hours(0, 120, -15, 60, -14, 70) + hours(120, 240, -15, 60, -8, 90) +
                            hours(240, 600, -30, 60, -28, 75) + hours(600, 696, -15, 60, -8, 90);
  const std::string events = told(plan_of(camper_with_hygrometer), story, {"wet_source_suspected"});
  EXPECT_EQ(std::ranges::count(events, '\n'), 1) << events;
  EXPECT_NE(events.find("alarm_raised"), std::string::npos);
}

// Damp hours of a thaw complete the 36 h while its warm air brings as much vapor outdoors as there is inside: 453 Pa in
// both (Murphy and Koop, Q. J. R. Meteorol. Soc. 131, 2005): a margin of now would belie what is told.
TEST(WetSource, IsToldWithoutAMarginOfNow) {
  const std::string story = hours(0, 240, -15, 60, -14, 70) + hours(240, 258, -15, 60, -5, 78) +
                            hours(258, 270, -10, 60, -5, 92) + hours(270, 290, -1, 80, -2, 86);
  const auto plan = plan_of(camper_with_hygrometer);
  std::string message;
  for (const Event& e : replay_in_memory(plan, inputs_of(plan, capture_of(story))).events) {
    if (e.kind == EventKind::alarm_raised && e.rule == "wet_source_suspected") message = e.message;
  }
  EXPECT_EQ(message, "86 % at -2.0 °C; for a day and more its air held more vapor than the outdoors brought.");
}

}  // namespace
}  // namespace overwinter
