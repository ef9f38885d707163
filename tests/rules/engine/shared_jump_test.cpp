// Shared lies: what several pieces of gear say within 15 min, all beyond tolerance, points to the radio. One piece of
// gear alone is never excused so: a flat tire reads zero.
#include <gtest/gtest.h>

#include <cstdio>
#include <functional>

#include "tests/rules/engine/story.h"

namespace overwinter {
namespace {

const std::set<std::string_view> tire_events{"tire_sudden_loss", "tire_below_expected", "tire_leaking",
                                             "sensors_jumped_together"};

// Two tires; `via` stands in each binding, the topics in front of /p and /t.
std::shared_ptr<const Plan> two_tires(const std::string& via, const std::string& left, const std::string& right) {
  const auto tire = [&via](const std::string& id, const std::string& topic, const std::string& pointer) {
    return "  " + id +
           ": {kind: tire, place: outdoors, filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}, "
           "pressure: {topic: " +
           topic + ", pointer: " + pointer + ", unit: psi" + via + "}, temperature: {topic: " + topic +
           ", pointer: /t, unit: degC" + via + "}}\n";
  };
  const bool one_message = left == right;
  return plan_of(
      "places:\n  outdoors: {temperature: {topic: yard, unit: degC}}\ngear:\n"
      "  camper_radio: {kind: gateway, place: outdoors, online: {topic: radio}}\n" +
      tire("left", left, one_message ? "/left" : "/p") + tire("right", right, one_message ? "/right" : "/p"));
}

std::string clock(int minute) {
  char text[24];
  std::snprintf(text, sizeof text, "12-01 %02d:%02d ", minute / 60, minute % 60);
  return text;
}

std::string reading(int minute, const std::string& topic, int psi) {
  return clock(minute) + topic + R"( {"p":)" + std::to_string(psi) + R"(,"t":14})" + "\n";
}

// Both tires every `period` min, the right one `later` min after the left one; psi by minute.
std::string both_read(int period, int later, const std::function<int(int)>& left,
                      const std::function<int(int)>& right) {
  std::string story;
  for (int minute = 0; minute < 600; minute += period) {
    story += clock(minute) + "yard 14\n" + reading(minute, "left", left(minute));
    story += reading(minute + later, "right", right(minute));
  }
  return story;
}

int lost_for_two_hours(int minute) { return minute >= 300 && minute < 420 ? 0 : 50; }
int flat_from_five(int minute) { return minute >= 300 ? 0 : 50; }
int well(int) { return 50; }

TEST(SharedJump, IsOneLowAlarmOnTheGatewayWhateverThePaceOfTheReadings) {
  const auto plan = two_tires(", via: camper_radio", "left", "right");
  for (const auto& [period, later] : {std::pair{60, 1}, {60, 0}, {20, 10}, {10, 5}, {10, 1}, {5, 2}}) {
    EXPECT_EQ(told(plan, both_read(period, later, lost_for_two_hours, lost_for_two_hours), tire_events),
              clock(300 + later).insert(11, ":00") + "alarm_raised sensors_jumped_together camper_radio\n" +
                  clock(430 + later).insert(11, ":00") + "alarm_cleared sensors_jumped_together camper_radio\n")
        << period << " min, " << later << " min later";
  }
}

TEST(SharedJump, IsThePlacesWithoutAGateway) {
  EXPECT_EQ(told(two_tires("", "left", "right"), both_read(10, 5, lost_for_two_hours, lost_for_two_hours), tire_events),
            lines_of(R"(
    12-01 05:05:00 alarm_raised sensors_jumped_together outdoors
    12-01 07:15:00 alarm_cleared sensors_jumped_together outdoors
  )"));
}

TEST(SharedJump, IsSeenInOneMessageForBoth) {
  std::string story;
  for (int minute = 0; minute < 600; minute += 30) {
    const std::string psi = std::to_string(lost_for_two_hours(minute));
    story +=
        clock(minute) + "yard 14\n" + clock(minute) + R"(tires {"left":)" + psi + R"(,"right":)" + psi + ",\"t\":14}\n";
  }
  EXPECT_EQ(told(two_tires(", via: camper_radio", "tires", "tires"), story, tire_events), lines_of(R"(
    12-01 05:00:00 alarm_raised sensors_jumped_together camper_radio
    12-01 07:10:00 alarm_cleared sensors_jumped_together camper_radio
  )"));
}

TEST(SharedJump, ExcusesNoTireThatIsFlatAlone) {
  const auto plan = two_tires(", via: camper_radio", "left", "right");
  for (const auto& [period, later] : {std::pair{60, 1}, {60, 0}, {30, 10}, {20, 10}, {10, 5}, {10, 1}, {5, 2}}) {
    const std::string events = told(plan, both_read(period, later, flat_from_five, well), tire_events);
    EXPECT_NE(events.find("alarm_raised tire_sudden_loss left"), std::string::npos) << period << ": " << events;
    EXPECT_EQ(events.find("alarm_raised tire_below_expected"), std::string::npos) << "one fault, one alarm: " << events;
    EXPECT_EQ(events.find("right"), std::string::npos) << events;
    EXPECT_EQ(events.find("jumped"), std::string::npos) << events;
  }
}

// The radio takes 8 psi off both, and then one of them goes flat.
TEST(SharedJump, ExcusesNoTireThatGoesFlatBehindIt) {
  const auto set_wrong = [](int minute) { return minute < 180 ? 50 : 42; };
  const auto flat_behind_it = [](int minute) { return minute < 180 ? 50 : minute < 420 ? 42 : 4; };
  const auto plan = two_tires(", via: camper_radio", "left", "right");
  for (const auto& [period, later] : {std::pair{60, 1}, {60, 0}, {20, 10}, {10, 5}, {5, 2}}) {
    for (const bool left : {true, false}) {
      const std::string events = left ? told(plan, both_read(period, later, flat_behind_it, set_wrong), tire_events)
                                      : told(plan, both_read(period, later, set_wrong, flat_behind_it), tire_events);
      EXPECT_NE(events.find(left ? "alarm_raised tire_sudden_loss left" : "alarm_raised tire_sudden_loss right"),
                std::string::npos)
          << period << ": " << events;
      EXPECT_EQ(events.find(left ? " right" : " left"), std::string::npos) << period << ": " << events;
      EXPECT_EQ(events.find("alarm_cleared"), std::string::npos) << "the other lies still: " << events;
    }
  }
}

// A radio that says nothing but zero for days: what each tire should read moves with the weather, and more for the
// harder one.
TEST(SharedJump, StandsWhileOnlyTheWeatherMoves) {
  const auto plan = plan_of(R"(
places:
  outdoors: {temperature: {topic: yard, unit: degC}}
gear:
  soft: {kind: tire, place: outdoors, filled: {pressure: 30 psi, temperature: 61 degF, date: 2026-10-24}, pressure: {topic: soft, unit: psi}}
  hard: {kind: tire, place: outdoors, filled: {pressure: 110 psi, temperature: 61 degF, date: 2026-10-24}, pressure: {topic: hard, unit: psi}}
)");
  std::string story;
  for (int minute = 0; minute < 1200; minute += 10) {
    const bool lies = minute >= 300;
    const int celsius = minute < 300 ? -30 : std::min(15, -30 + (minute - 300) / 15);
    story += clock(minute) + "yard " + std::to_string(celsius) + "\n";
    story += clock(minute) + "soft " + (lies ? "0" : "23") + "\n" + clock(minute + 5) + "hard " + (lies ? "0" : "90\n");
    if (lies) story += "\n";
  }
  EXPECT_EQ(told(plan, story, tire_events), "12-01 05:05:00 alarm_raised sensors_jumped_together outdoors\n");
}

TEST(SharedJump, ExcusesNoTireThatFollowsHoursLater) {
  const auto flat_from_seven = [](int minute) { return minute >= 420 ? 0 : 50; };
  const std::string events =
      told(two_tires("", "left", "right"), both_read(10, 5, flat_from_five, flat_from_seven), tire_events);
  EXPECT_NE(events.find("alarm_raised tire_sudden_loss left"), std::string::npos) << events;
  EXPECT_NE(events.find("alarm_raised tire_sudden_loss right"), std::string::npos) << events;
  EXPECT_EQ(events.find("jumped"), std::string::npos) << events;
}

// Both flat from 05:00, and what a person does at 06:40.
std::string both_flat_and(const std::string& command) {
  std::string story = both_read(60, 1, flat_from_five, flat_from_five);
  story.insert(story.find("12-01 07:00"), "12-01 06:40 " + command + "\n");
  return told(two_tires(", via: camper_radio", "left", "right"), story, tire_events);
}

TEST(SharedJump, ThatAGaugeConfirmsIsLookedAtAnewOnAllThatTookPart) {
  const std::string events = both_flat_and(R"(do/record {"gear":"left","quantity":"pressure","value":"0 psi"})");
  EXPECT_NE(events.find("alarm_raised tire_below_expected left"), std::string::npos) << events;
  EXPECT_NE(events.find("alarm_raised tire_below_expected right"), std::string::npos) << events;
  EXPECT_NE(events.find("alarm_cleared sensors_jumped_together camper_radio"), std::string::npos) << events;
}

TEST(SharedJump, ThatAGaugeContradictsStays) {
  const std::string only_the_radio = "12-01 05:01:00 alarm_raised sensors_jumped_together camper_radio\n";
  EXPECT_EQ(both_flat_and(R"(do/record {"gear":"left","quantity":"pressure","value":"50 psi"})"), only_the_radio);
  EXPECT_EQ(both_flat_and(R"(do/record {"gear":"left","quantity":"temperature","value":"14 degC"})"), only_the_radio)
      << "it says nothing of the pressure";
}

// A radio is set anew while it is away: what it said before the silence is what the jump is measured from.
TEST(SharedJump, IsFoundAcrossASilence) {
  std::string story;
  for (int minute = 0; minute <= 1200; minute += 60) {
    story += clock(minute) + "yard 14\n";
    if (minute > 300 && minute < 720) continue;  // 7 h, longer than their stale_after
    const int psi = minute < 720 ? 50 : 42;
    story += reading(minute, "left", psi) + reading(minute + 1, "right", psi);
  }
  EXPECT_EQ(told(two_tires(", via: camper_radio", "left", "right"), story, tire_events),
            "12-01 12:01:00 alarm_raised sensors_jumped_together camper_radio\n");
}

TEST(SharedJump, StaysOverASilence) {
  std::string story;
  for (int minute = 0; minute <= 1320; minute += 60) {
    story += clock(minute) + "yard 14\n";
    if (minute > 420 && minute < 840) continue;
    const int psi = minute < 300 ? 50 : 42;
    story += reading(minute, "left", psi) + reading(minute + 1, "right", psi);
  }
  EXPECT_EQ(told(two_tires(", via: camper_radio", "left", "right"), story, tire_events),
            "12-01 05:01:00 alarm_raised sensors_jumped_together camper_radio\n");
}

TEST(SharedJump, ThatAnActExplainsIsOver) {
  const auto pumped = [](int minute) { return minute >= 300 ? 60 : 50; };
  std::string story = both_read(60, 1, pumped, pumped);
  const std::size_t cut = story.find("12-01 07:00");
  for (const char* tire : {"right", "left"}) {
    story.insert(cut, std::string(R"(12-01 06:30 do/act {"gear":")") + tire +
                          R"(","act":"filled","pressure":"60 psi","temperature":"14 degC"})"
                          "\n");
  }
  EXPECT_EQ(told(two_tires(", via: camper_radio", "left", "right"), story, tire_events), lines_of(R"(
    12-01 05:01:00 alarm_raised sensors_jumped_together camper_radio
    12-01 06:40:00 alarm_cleared sensors_jumped_together camper_radio
  )"));
}

// Parked warm in the cold, the first readings are odd; once both read as they should, nothing is held against them.
TEST(SharedJump, IsOverForThoseThatReadAsTheyShould) {
  const auto warm_at_first = [](int minute) { return minute < 60 ? 58 : 50; };
  const std::string events =
      told(two_tires("", "left", "right"), both_read(10, 5, warm_at_first, warm_at_first), tire_events);
  EXPECT_EQ(events.find("jumped"), std::string::npos) << events;
}

// One tire alone is left of two that jumped together, or that one of them waited for: it is judged alone.
TEST(SharedJump, EndsWithAReloadThatLeavesNobodyToShareIt) {
  const auto before = two_tires(", via: camper_radio", "left", "right");
  const auto after = plan_of(R"(
places:
  outdoors: {temperature: {topic: yard, unit: degC}}
gear:
  camper_radio: {kind: gateway, place: outdoors, online: {topic: radio}}
  left: {kind: tire, place: outdoors, filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}, pressure: {topic: left, pointer: /p, unit: psi, via: camper_radio}, temperature: {topic: left, pointer: /t, unit: degC, via: camper_radio}}
)");
  for (const auto& [minutes, later] : {std::pair{365, 1}, {301, 10}}) {
    std::string story = both_read(60, later, flat_from_five, flat_from_five);
    const std::size_t cut = story.find(clock(minutes < 302 ? 310 : 361));
    story.insert(cut, "---\n" + clock(minutes) +
                          R"(do/record {"gear":"left","quantity":"pressure","value":"0 psi"})"
                          "\n");
    const std::string events = told_over_reload(before, after, story, tire_events);
    EXPECT_NE(events.find("alarm_raised tire_sudden_loss left"), std::string::npos) << events;
  }
}

}  // namespace
}  // namespace overwinter
