// A number is silent at exactly its last reading + stale_after; one alarm a gear or place.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <set>

#include "tests/rules/engine/lived.h"
#include "tests/rules/engine/story.h"

namespace overwinter {
namespace {

const std::set<std::string_view> silence_events{"sensor_silent", "sensor_back"};

TEST(Silence, IsToldAtTheDeadlineAndItsEndWithTheMessage) {
  EXPECT_EQ(told(plan_of(thermometers), R"(
    12-01 00:00 camper 5
    12-01 05:00 yard 5
    12-01 08:00 yard 5
    12-01 09:00 camper 5
    12-01 13:00 yard 5
    12-01 16:00 yard 5
  )",
                 silence_events),
            lines_of(R"(
    12-01 06:00:00 sensor_silent camper temperature
    12-01 06:00:00 alarm_raised sensor_silent camper
    12-01 09:00:00 sensor_back camper temperature
    12-01 09:10:00 alarm_cleared sensor_silent camper
    12-01 15:00:00 sensor_silent camper temperature
    12-01 15:00:00 alarm_raised sensor_silent camper
  )"));
}

// A sensor whose interval is its stale_after; another message of the same instant may come first.
TEST(Silence, IsNotOfWhoSpeaksAtTheDeadlineItself) {
  std::string story;
  for (int day = 1; day <= 9; ++day) {
    for (const char* hour : {"00:00", "06:00", "12:00", "18:00"}) {
      story += fmt::format("12-0{} {} other 1\n12-0{} {} yard {}\n12-0{} {} camper 5\n", day, hour, day, hour, day, day,
                           hour);
    }
  }
  EXPECT_EQ(told(plan_of(thermometers), story, silence_events), "");
  EXPECT_EQ(told(plan_of(thermometers), story + "12-10 01:00 yard 5\n", silence_events), lines_of(R"(
    12-10 00:00:00 sensor_silent outdoors temperature
    12-10 00:00:00 sensor_silent camper temperature
    12-10 00:00:00 alarm_raised sensor_silent outdoors
    12-10 00:00:00 alarm_raised sensor_silent camper
    12-10 01:00:00 sensor_back outdoors temperature
  )"));
}

TEST(Silence, IsToldInSentencesThatEndOnce) {
  const Lived lived =
      live(plan_with("site: {id: home, local_time: UTC}\nplaces: {camper: {temperature: {topic: t, "
                     "unit: degC}, station_pressure: {topic: p, unit: hPa}}}\nrules_from: [standard]\n"),
           {{"2026-12-01T00:00:00Z", "unbound", ""}, {"2026-12-01T07:00:00Z", "unbound", ""}});
  const auto silent =
      std::ranges::find_if(lived.events, [](const Event& e) { return e.kind == EventKind::alarm_raised; });
  ASSERT_NE(silent, lived.events.end());
  EXPECT_TRUE(
      silent->message.starts_with("Temperature (never heard; is the topic right?), station pressure (never heard; "
                                  "is the topic right?). Nobody"))
      << silent->message;
}

// What the broker kept shows that the topic is right.
TEST(Silence, OfASensorWhoseRetainedMessageAloneWasHeardAsksNothingOfItsTopic) {
  std::vector<Mail> mail{{"2026-12-01T00:00:00Z", "t", "5"}, {"2026-12-01T07:00:00Z", "unbound", ""}};
  mail.front().retained = true;
  const Lived lived = live(plan_with("site: {id: home, local_time: UTC}\nplaces: {camper: {temperature: {topic: t, "
                                     "unit: degC}}}\nrules_from: [standard]\n"),
                           mail);
  const auto silent = std::ranges::find(lived.events, EventKind::alarm_raised, &Event::kind);
  ASSERT_NE(silent, lived.events.end());
  EXPECT_TRUE(
      silent->message.starts_with("Temperature (only what the broker had kept was heard; does it still send?)."))
      << silent->message;
}

// One sensor of the place is silent and the other is stuck: each alarm tells of its own.
TEST(Silence, TellsNothingOfWhatIsStuckAndTheOtherWayRound) {
  std::vector<Mail> mail = together({hourly("yard", "2026-12-01T00:00:00Z", 30, [](int i) { return i % 12; }),
                                     hourly("t", "2026-12-01T00:00:00Z", 30, [](int) { return 5; })});
  const Lived lived = live(plan_with(R"(
site: {id: home, local_time: UTC}
places:
  outdoors: {temperature: {topic: yard, unit: degC}}
  camper: {temperature: {topic: t, unit: degC}, humidity: {topic: h, unit: "%"}}
)"),
                           mail);
  std::vector<std::string> messages;
  for (const Event& e : lived.events) {
    if (e.kind == EventKind::alarm_raised) messages.push_back(e.message.substr(0, e.message.find('.')));
  }
  EXPECT_EQ(messages,
            (std::vector<std::string>{"Humidity (never heard; is the topic right?)", "Temperature has read 5"}));
}

constexpr std::string_view climate = R"(
places:
  camper: {temperature: {topic: t, unit: degC}, humidity: {topic: h, unit: "%"}}
)";

TEST(Silence, IsOneAlarmForThePlace) {
  EXPECT_EQ(told(plan_of(climate), R"(
    12-01 00:00 t 5
    12-01 01:00 h 60
    12-01 08:00 t 5
    12-01 09:00 h 60
    12-01 10:00 t 5
  )",
                 silence_events),
            lines_of(R"(
    12-01 06:00:00 sensor_silent camper temperature
    12-01 06:00:00 alarm_raised sensor_silent camper
    12-01 07:00:00 sensor_silent camper humidity
    12-01 08:00:00 sensor_back camper temperature
    12-01 09:00:00 sensor_back camper humidity
    12-01 09:10:00 alarm_cleared sensor_silent camper
  )"));
}

TEST(Silence, OfOneNeverHeardCountsFromTheStart) {
  EXPECT_EQ(told(plan_of(thermometers), R"(
    12-01 00:00 camper 5
    12-01 04:00 camper 5
    12-01 07:00 camper 5
    12-01 12:00 nobody 5
  )",
                 silence_events),
            lines_of(R"(
    12-01 06:00:00 sensor_silent outdoors temperature
    12-01 06:00:00 alarm_raised sensor_silent outdoors
  )"));
}

constexpr std::string_view never_stale = R"(
places:
  outdoors: {temperature: {topic: yard, unit: degC}}
  camper: {temperature: {topic: camper, unit: degC, stale_after: never}}
gear:
  hatch: {kind: door_or_vent, place: camper, should_be: closed, open: {topic: hatch}}
)";

TEST(Silence, IsNoneForBooleansAndWhereStaleAfterIsNever) {
  EXPECT_EQ(told(plan_of(never_stale), R"(
    12-01 00:00 camper 5
    12-01 00:00 yard 5
    12-01 05:00 yard 5
    12-01 10:00 yard 5
  )",
                 silence_events),
            "");
}

constexpr std::string_view doors = R"(
places:
  camper: {door_open: {topic: door, stale_after: 2 h}}
gear:
  radio: {kind: gateway}
  hatch: {kind: door_or_vent, place: camper, open: {topic: hatch, stale_after: 1 h}}
  vent: {kind: door_or_vent, place: camper, open: {topic: vent, stale_after: 1 h, via: radio}}
  flap: {kind: door_or_vent, place: camper, open: {topic: flap, stale_after: 1 h, via: radio}}
)";

// DESIGN 4: never is their default alone; SITE: any binding may say a stale_after.
TEST(Silence, IsOfBooleansToldWhereTheSiteFileSaysAStaleAfter) {
  EXPECT_EQ(told(plan_of(doors), R"(
    12-01 00:00 hatch closed
    12-01 00:00 door closed
    12-01 02:30 hatch open
    12-01 03:30 other 1
  )",
                 silence_events),
            lines_of(R"(
    12-01 01:00:00 sensor_silent hatch open
    12-01 01:00:00 alarm_raised sensor_silent hatch
    12-01 02:00:00 sensor_silent camper door_open
    12-01 02:00:00 alarm_raised sensor_silent camper
    12-01 02:30:00 sensor_back hatch open
    12-01 02:40:00 alarm_cleared sensor_silent hatch
    12-01 03:30:00 sensor_silent hatch open
    12-01 03:30:00 alarm_raised sensor_silent hatch
  )"));
}

// Two of two that were heard: the third was never, and counts neither way.
TEST(Silence, OfBooleansBehindAGatewayIsItsAlarm) {
  std::string site(doors);
  site += "  lid: {kind: door_or_vent, place: camper, open: {topic: lid, stale_after: 1 h, via: radio}}\n";
  EXPECT_EQ(told(plan_of(site), R"(
    12-01 00:00 vent closed
    12-01 00:10 flap closed
    12-01 04:00 other 1
  )",
                 {"sensor_silent", "sensor_back", "gateway_silent"}),
            lines_of(R"(
    12-01 01:00:00 sensor_silent vent open
    12-01 01:10:00 sensor_silent flap open
    12-01 01:10:00 alarm_raised gateway_silent radio
  )"));
}

TEST(Silence, OfABooleanDoesNotReadAsItsAnswer) {
  const Lived lived =
      live(plan_of(doors), {{"2026-12-01T00:00:00Z", "hatch", "closed"}, {"2026-12-01T01:10:00Z", "unbound", ""}});
  const auto silent = std::ranges::find_if(
      lived.events, [](const Event& e) { return e.kind == EventKind::alarm_raised && e.rule == "sensor_silent"; });
  ASSERT_NE(silent, lived.events.end());
  EXPECT_TRUE(silent->message.starts_with("Open or not (last heard ")) << silent->message;
}

TEST(Silence, IsNotEndedByAHandReading) {
  EXPECT_EQ(told(plan_of(thermometers), R"(
    12-01 00:00 camper 5
    12-01 05:00 yard 5
    12-01 07:00 do/record {"gear":"camper","quantity":"temperature","value":"5 degC"}
    12-01 10:00 yard 5
  )",
                 silence_events),
            lines_of(R"(
    12-01 06:00:00 sensor_silent camper temperature
    12-01 06:00:00 alarm_raised sensor_silent camper
  )"));
}

TEST(Silence, IsNeitherEndedNorPutOffByARetainedNumber) {
  EXPECT_EQ(told(plan_of(thermometers), R"(
    12-01 00:00 ~camper 5
    12-01 02:00 ~camper 5
    12-01 05:00 yard 5
    12-01 07:00 ~camper 5
    12-01 08:00 yard 5
  )",
                 silence_events),
            lines_of(R"(
    12-01 06:00:00 sensor_silent camper temperature
    12-01 06:00:00 alarm_raised sensor_silent camper
  )"));
}

// The meter of a generator's load lives off its engine: quiet for months, and then for the quarter of an hour of a run.
TEST(Silence, IsNotOfASensorThatLivesOffTheEngineUnlessTheSiteFileSaysSo) {
  const auto shed = [](std::string_view more) {
    return plan_of(
        fmt::format("places: {{outdoors: {{}}}}\ngear:\n  genset: {{kind: generator, place: outdoors, "
                    "running: {{topic: runs}}, load: {{topic: watts, unit: W{}}}}}\n",
                    more));
  };
  constexpr std::string_view a_run = R"(
    12-01 00:00 runs off
    12-05 18:00 runs on
    12-05 18:01 watts 900
    12-05 18:20 watts 900
    12-05 18:21 runs off
    12-20 00:00 runs off
  )";
  EXPECT_EQ(told(shed(""), a_run, silence_events), "");
  EXPECT_EQ(told(shed(", stale_after: 2 d"), a_run, silence_events), lines_of(R"(
    12-03 00:00:00 sensor_silent genset load
    12-03 00:00:00 alarm_raised sensor_silent genset
    12-05 18:01:00 sensor_back genset load
    12-05 18:11:00 alarm_cleared sensor_silent genset
    12-07 18:20:00 sensor_silent genset load
    12-07 18:20:00 alarm_raised sensor_silent genset
  )"));
}

}  // namespace
}  // namespace overwinter
