// "temperature (default: its place's)": conditions and texts of gear that has no thermometer mean what its model takes.
#include <gtest/gtest.h>

#include <cstdio>
#include <string>

#include "tests/rules/engine/story.h"

namespace overwinter {
namespace {

constexpr std::string_view without_thermometers = R"(
places:
  outdoors: {temperature: {topic: yard, unit: degC}}
gear:
  tire: {kind: tire, place: outdoors, pressure: by_hand}
  own: {kind: tire, place: outdoors, pressure: by_hand, temperature: {topic: own, unit: degC}}
  battery: {kind: lead_acid_battery, place: outdoors, voltage: by_hand}
rules_from: [rules.yaml]
)";

constexpr std::string_view cold_rules = R"(
rules:
  cold_tire: {applies_to: {kind: tire}, raise_when: temperature < -20 degC, message: "{temperature}"}
  cold_acid: {applies_to: {kind: lead_acid_battery}, raise_when: temperature < -20 degC, message: "{temperature}"}
  cold_named: {applies_to: site, raise_when: tire.temperature < -20 degC, message: "{tire.temperature}"}
)";

std::string two_days(const char* topic, double from, double to) {
  std::string story;
  for (int hour = 0; hour < 48; ++hour) {
    char text[80];
    std::snprintf(text, sizeof text, "12-%02d %02d:00 %s %.1f\n", 1 + hour / 24, hour % 24, topic,
                  hour < 12 ? from : to);
    story += text;
  }
  return story;
}

// First-order lags of 1.5 h and 6 h behind a fall from 0 to -30 degC within the hour from 11:00: by the textbook
// solution for a ramp, 1 - T (exp(1/T) - 1) exp(-t/T), -20 is passed 2.1 h and 7.1 h later; told at the second reading
// behind it.
TEST(AssumedTemperature, IsThePlacesBehindALag) {
  EXPECT_EQ(told(plan_of(without_thermometers, cold_rules), two_days("yard", 0, -30),
                 {"cold_tire", "cold_acid", "cold_named"}),
            lines_of(R"(
    12-01 15:00:00 alarm_raised cold_tire tire
    12-01 15:00:00 alarm_raised cold_named alder_bend
    12-01 20:00:00 alarm_raised cold_acid battery
  )"));
}

// One rule of both tires, one of them without a thermometer: of a reading that nobody takes nothing is known.
TEST(AssumedTemperature, IsNoReadingAndHasNoAgeAndNoQuality) {
  EXPECT_EQ(told(plan_of(without_thermometers, R"(
rules:
  aged: {applies_to: {kind: tire}, raise_when: temperature.since_read > 3 h, off_delay: 1 h, message: old}
  sure: {applies_to: {kind: tire}, raise_when: 'temperature.quality == "good"', off_delay: 1 h, message: good}
  dated: {applies_to: {kind: tire}, raise_when: now - temperature.at > 3 h, off_delay: 1 h, message: old}
)"),
                 "12-01 00:00 yard 5\n12-01 01:00 own 5\n12-01 01:10 own 5\n12-01 04:00 yard 5\n12-01 04:20 yard 5\n",
                 {"aged", "sure", "dated"}),
            lines_of(R"(
    12-01 01:10:00 alarm_raised sure own
    12-01 04:15:00 alarm_raised aged own
    12-01 04:15:00 alarm_raised dated own
  )"));
}

TEST(AssumedTemperature, IsNotAskedWhereTheGearHasItsOwn) {
  EXPECT_EQ(told(plan_of(without_thermometers, cold_rules), two_days("own", 0, -30),
                 {"cold_tire", "cold_acid", "cold_named"}),
            lines_of(R"(
    12-01 13:00:00 alarm_raised cold_tire own
  )"));
}

TEST(AssumedTemperature, OnePacketOfItsPlaceRaisesNothing) {
  EXPECT_EQ(told(plan_of(without_thermometers, cold_rules), "12-01 00:00 yard -30\n12-01 00:30 own 5\n",
                 {"cold_tire", "cold_acid"}),
            "");
}

}  // namespace
}  // namespace overwinter
