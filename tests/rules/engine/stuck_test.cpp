// A number that repeats exactly for 24 h, at least 24 readings, while its reference moved, is stuck.
#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <functional>
#include <sstream>
#include <string>
#include <utility>

#include "rules/engine/alarm.h"
#include "rules/engine/engine.h"
#include "rules/engine/world.h"
#include "tests/rules/engine/story.h"
#include "tests/winter/replay_in_memory.h"

namespace overwinter {
namespace {

constexpr std::string_view stuck_site = R"(
places:
  outdoors: {temperature: {topic: yard/t, unit: degC}, humidity: {topic: yard/h, unit: "%"}}
  camper: {temperature: {topic: camper/t, unit: degC}, humidity: {topic: camper/h, unit: "%"}}
)";

struct Days {
  const char* quantity = "t";
  double stuck_at = 5;
  double outdoors = 5, per_hour = 0.2;
  int hours = 30, every = 60, moves_at_hour = 1000;
};

std::string events_of(const Days& days) {
  std::string story;
  for (int minute = 0; minute <= 60 * days.hours; minute += days.every) {
    char text[120];
    std::snprintf(text, sizeof text, "12-%02d %02d:%02d ", 1 + minute / 1440, minute % 1440 / 60, minute % 60);
    const std::string at = text;
    std::snprintf(text, sizeof text, "yard/%s %.2f\n", days.quantity, days.outdoors + days.per_hour * minute / 60);
    story += at + text;
    const double value = days.stuck_at + (minute < 60 * days.moves_at_hour ? 0 : 1);
    std::snprintf(text, sizeof text, "camper/%s %.2f\n", days.quantity, value);
    story += at + text;
  }
  return told(plan_of(stuck_site), story, {"sensor_stuck"});
}

const std::string raised_for_the_camper = "12-02 00:00:00 alarm_raised sensor_stuck camper\n";

TEST(Stuck, IsToldAfterADayAndClearsWhenItMoves) {
  EXPECT_EQ(events_of({.moves_at_hour = 28}),
            raised_for_the_camper + "12-02 05:00:00 alarm_cleared sensor_stuck camper\n");
}

TEST(Stuck, IsNotWhileItsReferenceRests) { EXPECT_EQ(events_of({.per_hour = 0.02}), ""); }

TEST(Stuck, IsNotAProbeInMeltingIce) { EXPECT_EQ(events_of({.stuck_at = 0}), ""); }

TEST(Stuck, NeedsTwentyFourReadings) {
  EXPECT_EQ(events_of({.hours = 44, .every = 120}), "");
  EXPECT_EQ(events_of({.hours = 48, .every = 120}), "12-02 22:00:00 alarm_raised sensor_stuck camper\n");
}

TEST(Stuck, HumidityNeedsThreePercent) {
  EXPECT_EQ(events_of({.quantity = "h", .stuck_at = 60, .outdoors = 50}), raised_for_the_camper);
  EXPECT_EQ(events_of({.quantity = "h", .stuck_at = 60, .outdoors = 50, .per_hour = 0.09}), "");
  EXPECT_EQ(events_of({.quantity = "h", .stuck_at = 50, .outdoors = 60, .per_hour = 0.125, .hours = 24}), "")
      << "3 % and no more";
}

// The tire follows the gas law at the yard's temperature (CRC Handbook of Chemistry and Physics, from memory), while
// its own thermometer has stopped: what that still says would make a sound tire 3 psi soft, and soft all at once.
TEST(Stuck, OwnThermometerIsNotWhatTheTireIsJudgedBy) {
  constexpr std::string_view tire = R"(
places:
  outdoors: {temperature: {topic: yard/t, unit: degC}}
gear:
  left: {kind: tire, place: outdoors, fill_gas: dry_air, filled: {pressure: 50 psi, temperature: 20 degC, date: 2026-12-01}, pressure: {topic: left, unit: psi}, temperature: {topic: left/t, unit: degC}}
)";
  std::string story;
  for (int half_hour = 0; half_hour < 2 * 24 * 5; ++half_hour) {
    const int day = 1 + half_hour / 48, hour = half_hour % 48 / 2, minute = half_hour % 2 * 30;
    const double celsius = day < 4 ? -3 + 3 * std::sin(hour / 4.0) : -20;
    const double own = day < 2 ? celsius : -3;
    const double psi = (50 + 14.696) * (celsius + 273.15) / 293.15 - 14.696;
    for (const auto& [topic, value] : {std::pair{"yard/t", celsius}, {"left/t", own}, {"left", psi}}) {
      char line[80];
      std::snprintf(line, sizeof line, "12-%02d %02d:%02d %s %.2f\n", day, hour, minute, topic, value);
      story += line;
    }
  }
  EXPECT_EQ(told(plan_of(tire), story, {"sensor_stuck", "tire_below_expected", "tire_sudden_loss", "tire_leaking"}),
            "12-03 00:00:00 alarm_raised sensor_stuck left\n");
}

// What it was expected to read and what the outdoors read differ, and that difference is no movement: an unheated room
// in steady weather, whose course is learned on the third day, or whose outdoors are silent for some hours.
TEST(Stuck, IsNotWhileItsReferenceIsAnotherOne) {
  std::string story;
  for (int hour = 0; hour < 24 * 8; ++hour) {
    const std::string at = "12-" + std::string(hour / 24 < 9 ? "0" : "") + std::to_string(1 + hour / 24) + " " +
                           (hour % 24 < 10 ? "0" : "") + std::to_string(hour % 24) + ":00 ";
    if (hour < 100 || hour >= 104) story += at + "yard/t " + (hour % 2 == 0 ? "-4.0\n" : "-4.2\n");
    story += at + "camper/t 3.0\n";
  }
  EXPECT_EQ(told(plan_of(stuck_site), story, {"sensor_stuck"}), "");
}

// Each hour the same reading, and another 1 K colder outdoors, over and over.
std::string stands_while_outdoors_move(const std::string& reading, int hours) {
  std::string story;
  for (int hour = 0; hour < hours; ++hour) {
    char text[80];
    std::snprintf(text, sizeof text, "12-%02d %02d:00 ", 1 + hour / 24, hour % 24);
    story += text + std::string("yard ") + std::to_string(-hour % 16) + "\n" + text + reading + "\n";
  }
  return story;
}

// Hourly: the yard's thermometer stands at 3 degC, and the others read what they read.
std::string the_yard_stands(int hours, const std::function<std::string(int)>& others) {
  std::string story;
  for (int hour = 0; hour < hours; ++hour) {
    char text[80];
    std::snprintf(text, sizeof text, "12-%02d %02d:00 ", 1 + hour / 24, hour % 24);
    std::istringstream lines("yard/t 3.0\n" + others(hour));
    for (std::string line; std::getline(lines, line);) story += text + line + "\n";
  }
  return story;
}

// Added to the camper: two and three others that stand in the weather.
constexpr std::string_view with_shed = R"(
  shed: {temperature: {topic: shed, unit: degC}}
)";
constexpr std::string_view with_barn = R"(
  barn: {temperature: {topic: barn, unit: degC}}
)";

using Course = std::function<double(int hour)>;

std::string while_the_yard_stands(int hours, const Course& camper, const Course& shed) {
  const auto others = [&](int hour) {
    return "camper/t " + std::to_string(camper(hour)) + "\nshed " + std::to_string(shed(hour)) + "\n";
  };
  return told(plan_of(std::string(stuck_site) + std::string(with_shed)), the_yard_stands(hours, others),
              {"sensor_stuck"});
}

double day_and_night(int hour) { return 3 + 4 * std::sin(hour / 24.0 * 6.283185); }
double steady(int hour) { return 3 + 0.1 * (hour % 2); }

const std::string yard_raised = "12-02 00:00:00 alarm_raised sensor_stuck outdoors\n";

TEST(Stuck, IsTheThermometerOutdoorsWhileTheOthersGrowColder) {
  EXPECT_EQ(while_the_yard_stands(48, day_and_night, day_and_night), yard_raised);
}

// It stood still at the coldest of its nights, 3 degC. In the fourth the others fall by 0.5 K an hour: at 2 o'clock by
// 1 K, at 3 by more, which the yard's next reading finds.
TEST(Stuck, IsTheThermometerOutdoorsInTheNextColdSnap) {
  const auto snap = [](int hour) {
    return hour < 72 ? 7 - 4 * std::sin(hour / 24.0 * 6.283185) : 3 + (72 - hour) / 2.0;
  };
  EXPECT_EQ(while_the_yard_stands(96, snap, snap), "12-04 04:00:00 alarm_raised sensor_stuck outdoors\n");
}

// Its standing still is older than what is remembered of the others.
TEST(Stuck, IsTheThermometerOutdoorsInAColdSnapAfterAMildMonth) {
  const auto mild = [](int hour) { return hour < 600 ? 8 + 2 * std::sin(hour / 24.0 * 6.283185) : -5.0; };
  EXPECT_EQ(while_the_yard_stands(624, mild, mild), "12-26 01:00:00 alarm_raised sensor_stuck outdoors\n");
}

TEST(Stuck, IsNotTheThermometerOutdoorsByASingleOther) {
  const auto camper = [](int hour) { return "camper/t " + std::to_string(day_and_night(hour)) + "\n"; };
  EXPECT_EQ(told(plan_of(stuck_site), the_yard_stands(72, camper), {"sensor_stuck"}), "");
  EXPECT_EQ(while_the_yard_stands(72, day_and_night, steady), "");
}

// Under an overcast sky the outdoors rest, and eight hours of weak sun warm both others; from whatever hour on.
TEST(Stuck, IsNotTheThermometerOutdoorsWhileSunWarmsTheOthers) {
  for (int begins = 0; begins < 24; ++begins) {
    const auto sun = [begins](int hour) {
      const int of_day = (hour + begins) % 24;
      return of_day < 8 || of_day > 16 ? 0 : std::sin((of_day - 8) / 8.0 * 3.141593);
    };
    const auto camper = [&](int hour) { return steady(hour) + 8 * sun(hour); };
    const auto shed = [&](int hour) { return steady(hour) + 3 * sun(hour); };
    EXPECT_EQ(while_the_yard_stands(96, camper, shed), "") << begins;
  }
}

// Three hours of a heater in fog, in both.
TEST(Stuck, IsNotTheThermometerOutdoorsWhileTheOthersAreHeatedForAWhile) {
  for (const int begins : {0, 10, 30}) {
    const auto heated = [begins](int hour) { return steady(hour) + (hour >= begins && hour < begins + 3 ? 12 : 0); };
    EXPECT_EQ(while_the_yard_stands(96, heated, heated), "") << begins;
  }
}

// In fog the outdoors stand; rooms that were 10 K warmer come down to them (exponentially), slow ones in days.
TEST(Stuck, IsNotTheThermometerOutdoorsThatRoomsComeDownTo) {
  for (const double time_constant : {5.0, 20.0}) {
    const auto cools = [time_constant](int hour) { return 3 + 10 * std::exp(-hour / time_constant); };
    EXPECT_EQ(while_the_yard_stands(96, cools, cools), "") << time_constant;
  }
}

// One of three alone grows colder, as one that was carried away does; then one of three is stuck too.
TEST(Stuck, IsTheThermometerOutdoorsByMostOfTheOthers) {
  const auto plan = plan_of(std::string(stuck_site) + std::string(with_shed) + std::string(with_barn));
  const auto others = [](int moving) {
    return [moving](int hour) {
      const std::string moves = std::to_string(day_and_night(hour)) + "\n";
      const std::string rests = std::to_string(steady(hour)) + "\n";
      return "camper/t " + moves + "shed " + (moving > 1 ? moves : rests) + "barn " + rests;
    };
  };
  EXPECT_EQ(told(plan, the_yard_stands(48, others(1)), {"sensor_stuck"}), "");
  EXPECT_EQ(told(plan, the_yard_stands(48, others(2)), {"sensor_stuck"}), yard_raised);
}

// Well kept at 7 degC, by a thermometer of half a kelvin: its number stands while the outdoors move.
TEST(Stuck, IsNotTheThermometerOfAHeatedPlace) {
  constexpr std::string_view garage = R"(
places:
  outdoors: {temperature: {topic: yard, unit: degC}}
  camper: {temperature: {topic: camper, unit: degC}, heated: true, set_temperature: 7 degC}
)";
  EXPECT_EQ(told(plan_of(garage), stands_while_outdoors_move("camper 7.0", 48), {"sensor_stuck"}), "");
}

// Without air it reads zero, and goes on to.
TEST(Stuck, IsNotTheGaugeOfAFlatTire) {
  constexpr std::string_view tire = R"(
places:
  outdoors: {temperature: {topic: yard, unit: degC}}
gear:
  left_tire: {kind: tire, place: outdoors, pressure: {topic: tire, unit: psi},
              filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}}
)";
  EXPECT_EQ(told(plan_of(tire), stands_while_outdoors_move("tire 0", 72), {"sensor_stuck"}), "");
}

// When a camper counts as known, from 48 night hours that taught it, if its thermometer says nothing new for 36 h from
// the first day on: repeats its number, or is silent.
std::string known_after_a_fault(bool sticks) {
  constexpr std::string_view rule = R"(
rules:
  camper_known: {applies_to: places, raise_when: known(door_suspected_open), priority: low, title: "{name}", message: "{name}"}
)";
  std::string story, last;
  double inside = 0;
  for (int hour = 0; hour < 24 * 9; ++hour) {
    const double outside = -5 + 7 * std::sin(hour / 24.0 * 6.283185) + 5 * std::sin(hour / 11.0);
    inside += -std::expm1(-1 / 6.0) * (outside - inside);
    char at[40], yard[40], camper[40];
    std::snprintf(at, sizeof at, "12-%02d %02d:00 ", 1 + hour / 24, hour % 24);
    std::snprintf(yard, sizeof yard, "yard %.1f\n", outside);
    std::snprintf(camper, sizeof camper, "camper %.1f\n", inside);
    story += std::string(at) + yard;
    const bool faulty = hour > 10 && hour < 46;
    if (!faulty) last = camper;
    if (!faulty || sticks) story += at + last;
  }
  return told(plan_of(std::string(thermometers) + "rules_from: [rules.yaml]\n", rule), story, {"camper_known"});
}

TEST(Stuck, TeachesThePlaceAsLittleAsSilence) {
  EXPECT_NE(known_after_a_fault(false), "");
  EXPECT_EQ(known_after_a_fault(true), known_after_a_fault(false));
}

// In a soaked camper a hygrometer rests near saturation, and the water is the fault.
TEST(Stuck, IsNotAHygrometerNearSaturation) {
  EXPECT_EQ(events_of({.quantity = "h", .stuck_at = 99, .outdoors = 50}), "");
  EXPECT_EQ(events_of({.quantity = "h", .stuck_at = 97, .outdoors = 50}), raised_for_the_camper);
}

// The second number that gets stuck is named too.
TEST(Stuck, IsToldOfEachNumber) {
  std::string story;
  for (int hour = 0; hour <= 60; ++hour) {
    char text[160];
    std::snprintf(text, sizeof text, "12-%02d %02d:00 ", 1 + hour / 24, hour % 24);
    const std::string at = text;
    std::snprintf(text, sizeof text, "%syard/t %.1f\n%syard/h %.1f\n%scamper/t 5\n%scamper/h %d\n", at.c_str(),
                  5 + 0.2 * hour, at.c_str(), 30 + 0.8 * hour, at.c_str(), at.c_str(), hour < 12 ? 50 + hour : 62);
    story += text;
  }
  const auto plan = plan_of(stuck_site);
  Engine engine(plan, inputs_of(plan, capture_of(story)).front().at);
  for (const Input& input : inputs_of(plan, capture_of(story))) engine.step(input);
  const World& world = engine.world();
  const std::uint32_t alarm = find_alarm(*plan, "sensor_stuck", "camper");
  ASSERT_NE(alarm, no_index);
  EXPECT_NE(world.alarms[alarm].message.find("Temperature"), std::string::npos) << world.alarms[alarm].message;
  EXPECT_NE(world.alarms[alarm].message.find("humidity"), std::string::npos) << world.alarms[alarm].message;
}

}  // namespace
}  // namespace overwinter
