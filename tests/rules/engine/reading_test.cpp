// Which readings count: one step a message, one series a source; retained, back-dated, future, twice.
#include <gtest/gtest.h>

#include <fmt/format.h>

#include <algorithm>

#include "tests/rules/engine/lived.h"
#include "tests/rules/engine/story.h"

namespace overwinter {
namespace {

constexpr std::string_view stamped = R"(
places:
  outdoors: {temperature: {topic: yard, unit: degC}}
  camper: {temperature: {topic: camper, pointer: /t, unit: degC, time_pointer: /at}}
rules_from: [rules.yaml]
)";

constexpr std::string_view box = R"(
places:
  camper: {temperature: {topic: box, pointer: /t, unit: degC}, humidity: {topic: box, pointer: /h, unit: "%"}}
rules_from: [rules.yaml]
)";

constexpr std::string_view cold_and_wet = R"(
rules:
  cold_and_wet:
    applies_to: {place: camper}
    raise_when: temperature < 0 degC and humidity > 80 %
    message: Cold and wet.
)";

TEST(Readings, OfOneMessageCountTogether) {
  EXPECT_EQ(told(plan_of(box, cold_and_wet), R"(
    12-01 00:00 box {"t":5,"h":90}
    12-01 00:10 box {"t":-5,"h":50}
    12-01 00:20 box {"t":5,"h":90}
    12-01 00:30 box {"t":-5,"h":50}
    12-01 00:40 box {"t":-5,"h":50}
  )",
                 {"cold_and_wet"}),
            "");
}

TEST(Readings, ByHandStandWhenTheSensorIsStale) {
  EXPECT_EQ(told(plan_of(camper_with_hatch, camper_cold()), R"(
    12-01 00:00 camper 5
    12-01 05:00 do/record {"gear":"camper","quantity":"temperature","value":"-5 degC"}
    12-01 05:59 yard 5
    12-01 07:00 yard 5
  )",
                 {"camper_cold"}),
            lines_of(R"(
    12-01 06:00:00 alarm_raised camper_cold camper
  )"));
}

// The sensor overtook it: it neither ends the alarm nor raises one when the sensor falls silent.
TEST(Readings, ByHandOlderThanTheSensorsLastStayInThePast) {
  EXPECT_EQ(told(plan_of(camper_with_hatch, camper_cold()), R"(
    12-01 00:00 do/record {"gear":"camper","quantity":"temperature","value":"5 degC"}
    12-01 01:00 camper -5
    12-01 01:10 camper -5
    12-01 09:00 yard 5
  )",
                 {"camper_cold"}),
            lines_of(R"(
    12-01 01:10:00 alarm_raised camper_cold camper
  )"));
}

TEST(Readings, RetainedFeedNoRule) {
  EXPECT_EQ(told(plan_of(camper_with_hatch, camper_cold()), R"(
    12-01 00:00 ~camper -5
    12-01 00:10 ~camper -6
    12-01 00:20 ~camper -7
  )",
                 {"camper_cold"}),
            "");
}

TEST(Readings, RetainedAreNotTheFirstOfTwo) {
  EXPECT_EQ(told(plan_of(camper_with_hatch, camper_cold()), R"(
    12-01 00:00 ~camper -5
    12-01 00:10 camper -6
    12-01 00:20 camper -7
  )",
                 {"camper_cold"}),
            lines_of(R"(
    12-01 00:20:00 alarm_raised camper_cold camper
  )"));
}

TEST(Readings, RetainedWithTheirOwnTimeCount) {
  EXPECT_EQ(told(plan_of(stamped, camper_cold()), R"(
    12-01 00:00 ~camper {"t":-5,"at":"2026-11-30T23:50:00Z"}
    12-01 00:10 ~camper {"t":-5,"at":"2026-12-01T00:09:00Z"}
  )",
                 {"camper_cold", "reading_rejected"}),
            lines_of(R"(
    12-01 00:10:00 alarm_raised camper_cold camper
  )"));
}

TEST(Readings, BackDatedChangeNoPresentState) {
  EXPECT_EQ(told(plan_of(stamped, camper_cold()), R"(
    12-01 01:00 camper {"t":5,"at":"2026-12-01T01:00:00Z"}
    12-01 01:01 camper {"t":-5,"at":"2026-12-01T00:30:00Z"}
    12-01 01:02 camper {"t":-5,"at":"2026-12-01T00:31:00Z"}
    12-01 01:03 camper {"t":-5,"at":"2026-12-01T00:32:00Z"}
  )",
                 {"camper_cold", "reading_rejected"}),
            "");
}

TEST(Readings, OlderThanTwoWeeksAreRejected) {
  EXPECT_EQ(told(plan_of(stamped, camper_cold()), R"(
    12-20 01:00 camper {"t":5,"at":"2026-12-20T01:00:00Z"}
    12-20 01:01 camper {"t":-5,"at":"2026-12-06T01:02:00Z"}
    12-20 01:02 camper {"t":-5,"at":"2026-12-06T01:01:00Z"}
  )",
                 {"camper_cold", "reading_rejected"}),
            lines_of(R"(
    12-20 01:02:00 reading_rejected camper temperature
  )"));
}

// The rest of an hour is told when the hour is over, also where none follows.
TEST(Readings, MoreThanFiveMinutesAheadAreRejectedAndToldOnceAnHour) {
  EXPECT_EQ(told(plan_of(stamped, camper_cold()), R"(
    12-01 01:00 camper {"t":5,"at":"2026-12-01T01:05:00Z"}
    12-01 02:00 camper {"t":5,"at":"2026-12-01T02:05:01Z"}
    12-01 02:30 camper {"t":5,"at":"2026-12-01T03:05:01Z"}
    12-01 02:31 camper {"t":5,"at":"2026-12-01T03:06:01Z"}
    12-01 05:00 camper {"t":5,"at":"2026-12-01T05:00:00Z"}
  )",
                 {"camper_cold", "reading_rejected"}),
            lines_of(R"(
    12-01 02:00:00 reading_rejected camper temperature
    12-01 03:00:00 reading_rejected camper temperature
  )"));
}

TEST(Readings, RejectedWithinTheHourAreCountedWithTheLastReason) {
  const auto plan = plan_with(
      "site: {id: home, local_time: UTC}\nplaces: {camper: {temperature: {topic: t, unit: degC, "
      "pointer: /t}}}\n");
  const Lived lived = live_through_restart(plan,
                                           {{"2026-12-01T02:00:00Z", "t", R"({"t":"hot"})"},
                                            {"2026-12-01T02:10:00Z", "t", R"({"t":"hot"})"},
                                            {"2026-12-01T02:20:00Z", "t", R"({"t":null})"},
                                            {"2026-12-01T04:00:00Z", "unbound", ""}},
                                           "2026-12-01T02:30:00Z", plan);
  std::vector<std::string> rejected;
  for (const Event& e : lived.events) {
    if (e.kind != EventKind::reading_rejected) continue;
    rejected.push_back(fmt::format("{} {} {}", format_rfc3339(e.at), e.count.value_or(0), e.reason));
  }
  EXPECT_EQ(rejected, (std::vector<std::string>{"2026-12-01T02:00:00Z 1 the value is not a number",
                                                "2026-12-01T03:00:00Z 2 the value is null"}));
}

TEST(Readings, TwiceTheSameOfAClockThatIsAheadAreOne) {
  EXPECT_EQ(told(plan_of(stamped, camper_cold()), R"(
    12-01 01:00 camper {"t":-5,"at":"2026-12-01T01:03:00Z"}
    12-01 01:01 camper {"t":-5,"at":"2026-12-01T01:03:00Z"}
    12-01 01:02 camper {"t":-5,"at":"2026-12-01T01:03:00Z"}
  )",
                 {"camper_cold", "reading_rejected"}),
            "");
}

TEST(Readings, OfAHygrometerThatShowsMoreThanAirCanHoldAreShownAsFull) {
  const auto plan = plan_of(box, R"(
rules:
  damp: {applies_to: {place: camper}, raise_when: humidity > 90 %, off_delay: 1 h, message: "{humidity}"}
)");
  std::string message;
  for (const Event& e : live(plan, {{"2026-12-01T01:00:00Z", "box", R"({"t":5,"h":101})"},
                                    {"2026-12-01T01:10:00Z", "box", R"({"t":5,"h":102})"}})
                            .events) {
    if (e.kind == EventKind::alarm_raised) message = e.message;
  }
  EXPECT_EQ(message, "100 %");
}

TEST(Readings, TwiceTheSameAreOne) {
  EXPECT_EQ(told(plan_of(stamped, camper_cold()), R"(
    12-01 01:00 camper {"t":-5,"at":"2026-12-01T01:00:00Z"}
    12-01 01:01 camper {"t":-5,"at":"2026-12-01T01:00:00Z"}
    12-01 01:02 camper {"t":-5,"at":"2026-12-01T01:00:00Z"}
  )",
                 {"camper_cold", "reading_rejected"}),
            "");
}

TEST(Readings, ByHandThatAreToldTwiceCountOnce) {
  const std::string once = R"(
    12-01 12:00 do/record {"gear":"camper","quantity":"temperature","value":"5 degC","at":"2026-12-01T11:00:00Z"}
)";
  const auto plan = plan_of(camper_with_hatch, camper_cold());
  const auto told_twice = replay_in_memory(plan, inputs_of(plan, capture_of(once + once)));
  EXPECT_EQ(std::ranges::count(told_twice.events, EventKind::hand_reading, &Event::kind), 1);
}

// Plausible ranges: outdoor air -60..60 degC, indoor -50..85 (common practice, no source); a 12 V battery 0..20 V,
// which a charger without control stays below (estimate).
TEST(Readings, ThatNoSensorCanPlausiblyTellAreRejected) {
  constexpr std::string_view site = R"(
site: {id: alder_bend, local_time: America/Winnipeg}
places:
  outdoors: {temperature: {topic: yard, unit: degC}}
  camper: {temperature: {topic: camper, unit: degC}}
gear:
  small: {kind: lead_acid_battery, place: camper, voltage: {topic: small, unit: V}}
  large: {kind: lead_acid_battery, place: camper, cells: 12, voltage: {topic: large, unit: V}}
)";
  const auto is_rejected = [&](std::string_view topic, std::string_view payload) {
    const Lived lived = live(plan_with(site), {{"2026-12-01T12:00:00Z", std::string(topic), std::string(payload)}});
    return told(lived, {EventKind::reading_rejected}).size() == 1;
  };
  EXPECT_TRUE(is_rejected("yard", "60.1"));
  EXPECT_FALSE(is_rejected("yard", "60"));
  EXPECT_FALSE(is_rejected("yard", "-60"));
  EXPECT_FALSE(is_rejected("camper", "85"));
  EXPECT_TRUE(is_rejected("camper", "-50.1"));
  EXPECT_FALSE(is_rejected("small", "17.5"));
  EXPECT_TRUE(is_rejected("small", "20.1"));
  EXPECT_FALSE(is_rejected("large", "39.9"));
  EXPECT_TRUE(is_rejected("large", "40.1"));
}

}  // namespace
}  // namespace overwinter
