// When a household is told what. Alder Bend is in Winnipeg: local time is UTC - 6 h in winter, - 5 h before
// November 1, 2026 and after March 14, 2027 (IANA time zone data base). The schedule is our own choice; no source.
#include "daemon/notices.h"

#include <gtest/gtest.h>

#include <set>
#include <sstream>

#include "daemon/notice_text.h"
#include "tests/daemon/household.h"

namespace overwinter {
namespace {

constexpr std::string_view notices_rules = R"(
rules:
  low_one: {applies_to: {gear: locker}, raise_when: open, priority: low, title: "{name} is open", message: Shut it., off_delay: 1 s}
  medium_one: {applies_to: {gear: hatch}, raise_when: open, priority: medium, title: "{name} is open", message: Shut it., respond_within: 2 d, off_delay: 1 s}
  hidden_one: {applies_to: {gear: flap}, raise_when: open, priority: medium, suppressed_by: high_one, title: "{name} is open", message: Shut it., off_delay: 1 s}
  high_one: {applies_to: {gear: [flap, shutter]}, raise_when: not as_it_should_be, priority: high, title: "{name} is wrong", message: Shut it., respond_within: 3 h, off_delay: 1 s}
  critical_one: {applies_to: {gear: valve}, raise_when: open, priority: critical, title: "{name} is open", message: Shut it., off_delay: 1 s}
)";
constexpr std::string_view reminders = R"(
reminders:
  look_around: {every: 7 d, message: Look around.}
  empty_traps: {every: 7 d, message: Empty the traps.}
)";

std::string notices_site(std::string_view more = "") {
  return R"(
site: {id: alder_bend, name: Alder Bend, local_time: America/Winnipeg, display_units: us}
season: {lay_up: 2026-10-31}
places: {camper: {}}
gear:
  locker: {kind: door_or_vent, place: camper, open: {topic: locker}}
  hatch: {kind: door_or_vent, place: camper, open: {topic: hatch}}
  flap: {kind: door_or_vent, place: camper, should_be: closed, open: {topic: flap}}
  shutter: {kind: door_or_vent, place: camper, should_be: closed, open: {topic: shutter}}
  valve: {kind: door_or_vent, place: camper, open: {topic: valve}}
rules_from: [rules.yaml]
)" + std::string(more);
}

constexpr std::string_view no_digest = "digest: {enabled: false}\n";

Household at(std::string_view start, std::string_view more = no_digest) {
  return {plan_of_files(notices_site(more), notices_rules), start};
}
// Both reminders are due on Saturday, November 7.
Household with_reminders_at(std::string_view start, std::string_view more = no_digest) {
  return {plan_of_files(notices_site(more), std::string(notices_rules) + std::string(reminders)), start};
}

// ------------------------------------------------------------------------------------------------------- one a day

TEST(NoticesTest, TheFirstSmallAlarmOfADayLeavesAtOnceAndTheNextWaitForTomorrow) {
  Household house = at("12-01 16:00");
  house.hear("12-01 18:00", "hatch", "open");
  EXPECT_EQ(house.told(), "12-01 18:00 alarm raised hatch\n");
  house.hear("12-01 18:10", "locker", "open");
  house.wait_until("12-02 13:59");
  EXPECT_EQ(house.told(), "");
  house.wait_until("12-02 14:00");
  EXPECT_EQ(house.told(), "12-02 14:00 alarm raised locker\n");
}

TEST(NoticesTest, RemindersAndSmallAlarmsOfTheNightLeaveTogetherAtEight) {
  Household house = with_reminders_at("12-04 04:00");
  house.hear("12-04 06:00", "locker", "open");
  house.hear("12-04 06:05", "hatch", "open");
  house.wait_until("12-04 13:59");
  EXPECT_EQ(house.told(), "");
  house.wait_until("12-04 14:00");
  ASSERT_EQ(house.notices.size(), 1U);
  const Notice& n = house.last();
  EXPECT_EQ(n.title, "Alder Bend: 4 things");
  EXPECT_EQ(n.message.substr(0, n.message.find('\n')),
            "Hatch is open. Shut it. Respond by Sun Dec 6. (sensor, 7 h ago)");
  EXPECT_NE(n.message.find("Look around."), std::string::npos);
  EXPECT_EQ(n.about, "alarm");
  EXPECT_EQ(n.rule + n.reminder + n.gear + n.evidence, "");  // of several things it names none
  EXPECT_EQ(n.priority, Priority::medium);
  EXPECT_EQ(n.respond_by, utc("12-06 06:05"));
}

TEST(NoticesTest, HighAndCriticalLeaveAtOnceAlsoAtNight) {
  Household house = at("12-01 16:00");
  house.hear("12-02 07:00", "shutter", "open");
  house.hear("12-02 07:01", "valve", "open");
  EXPECT_EQ(house.told(), "12-02 07:00 alarm raised shutter\n12-02 07:01 alarm raised valve\n");
}

TEST(NoticesTest, NothingBelowHighLeavesInTheQuietHours) {
  Household house = at("12-01 16:00");
  constexpr int between = 24 * 11 + 5;  // more than 7 days: another alarm; and at all hours of the day
  for (int hour = 0; hour < 24 * 90; ++hour) {
    const Instant t = utc("12-01 16:30") + hour * one_hour;
    house.wait_until(format_rfc3339(t));
    const int since = (hour + (hour % 2 == 0 ? 0 : 77)) % between;
    house.step(JournaledInput::Kind::message, t, hour % 2 == 0 ? "hatch" : "locker", since < 24 ? "open" : "shut");
  }
  EXPECT_GT(house.notices.size(), 20U);
  std::set<std::int32_t> days;
  for (const Notice& n : house.notices) {
    const Span local = to_local(n.at, house.caretaker().plan().zone).since_midnight;
    EXPECT_TRUE(local >= 8 * one_hour && local < 21 * one_hour) << format_rfc3339(n.at);
    EXPECT_TRUE(days.insert(local_day(n.at, house.caretaker().plan().zone)).second) << format_rfc3339(n.at);
  }
}

TEST(NoticesTest, WhatWasToLeaveInADowntimeThatEndsAtNightWaitsForTheMorning) {
  Household house = at("12-01 16:00");
  house.hear("12-02 13:20", "locker", "open");  // 07:20, for 08:00
  // The first word after the downtime, at 03:00.
  house.step(JournaledInput::Kind::message, utc("12-03 09:00"), "shutter", "closed");
  EXPECT_EQ(house.told(), "");
  house.wait_until("12-03 14:00");
  EXPECT_EQ(house.told(), "12-03 14:00 alarm raised locker\n");
}

TEST(NoticesTest, TheSiteFileChoosesTheHoursAndTheQuietOnesWin) {
  Household house = at("12-01 15:30", "digest: {enabled: false}\nnotices: {at: \"06:00\", quiet: \"22:00-09:00\"}\n");
  house.wait_until("12-01 15:30");
  house.hear("12-02 05:00", "hatch", "open");   // 23:00
  house.hear("12-02 14:30", "locker", "open");  // 08:30: after the notice's hour, still quiet
  house.wait_until("12-02 16:00");
  EXPECT_EQ(house.told(), "12-02 15:00 alarm raised Alder Bend: 2 things\n");
}

// On November 1, 2026 at 02:00 clocks went back by an hour; on March 14, 2027 at 02:00 they go forward.
TEST(NoticesTest, EightIsEightOnTheDaysOnWhichClocksChange) {
  Household autumn = at("10-31 16:00");
  autumn.hear("10-31 17:00", "hatch", "open");
  autumn.hear("10-31 18:00", "locker", "open");
  autumn.wait_until("11-01 16:00");
  EXPECT_EQ(autumn.told(), "10-31 17:00 alarm raised hatch\n11-01 14:00 alarm raised locker\n");
  Household spring = at("2027-03-13T05:00:00Z");
  spring.wait_until("03-13 14:00");
  spring.hear("03-14 06:00", "locker", "open");
  spring.wait_until("03-14 16:00");
  EXPECT_EQ(spring.told(), "03-14 13:00 alarm raised locker\n");
}

TEST(NoticesTest, WhatFellDueInAWeekWithoutPowerIsOneNotice) {
  Household house = with_reminders_at("12-01 16:00");
  EXPECT_EQ(house.told(), "12-01 16:00 reminder due Alder Bend: 2 things\n");
  house.step(JournaledInput::Kind::message, utc("12-20 18:00"), "hatch", "open");
  EXPECT_EQ(house.told(), "12-20 18:00 alarm raised Alder Bend: 3 things\n");  // both overdue, and the hatch
}

// ------------------------------------------------------------------------------------------------------- withdrawn

TEST(NoticesTest, WhatIsOverBeforeItLeftIsNeverTold) {
  Household house = with_reminders_at("12-02 04:00");
  house.hear("12-02 05:00", "hatch", "open");
  house.hear("12-02 06:00", "hatch", "shut");
  house.hear("12-02 06:01", "hatch", "shut");
  house.hear("12-02 05:30", "locker", "open");
  house.say("12-02 07:00", "acknowledge", R"({"rule":"low_one","gear":"locker"})");
  house.say("12-02 07:00", "done", R"({"reminder":"look_around"})");
  house.say("12-02 07:00", "skip", R"({"reminder":"empty_traps"})");
  house.wait_until("12-02 20:00");
  EXPECT_EQ(house.told(), "");
}

TEST(NoticesTest, AnEndIsToldOnlyOfWhatWasTold) {
  Household house = at("12-01 16:00");
  house.hear("12-02 16:00", "hatch", "open");
  house.hear("12-02 17:00", "hatch", "shut");
  house.wait_until("12-03 14:00");
  EXPECT_EQ(house.told(), "12-02 16:00 alarm raised hatch\n12-03 14:00 alarm cleared hatch\n");
  EXPECT_EQ(house.last().title, "Over: Hatch is open");
  EXPECT_EQ(house.last().message, "It is over.");
  house.hear("12-04 16:00", "shutter", "open");
  house.say("12-04 17:00", "take_out", R"({"gear":"shutter"})");
  EXPECT_EQ(house.told(), "12-04 16:00 alarm raised shutter\n12-04 17:00 alarm cleared shutter\n");
  EXPECT_EQ(house.last().message, "It is watched no longer: out of service.");
}

TEST(NoticesTest, ASmallAlarmThatComesBackWithItsOldIdIsNoNewsAndALargeOneIs) {
  Household house = at("12-01 16:00");
  for (const std::string day : {"12-02 ", "12-03 "}) {
    for (const std::string minute : {"17:0", "17:1"}) {
      const std::string topic = minute == "17:0" ? "hatch" : "shutter";
      house.hear(day + minute + "0", topic, "open");
      house.hear(day + minute + "1", topic, "shut");
      house.hear(day + minute + "2", topic, "open");
    }
  }
  house.wait_until("12-05 14:00");
  std::vector<std::string> raised;
  for (const Notice& n : house.notices) {
    if (n.event == "raised") raised.push_back(n.id);
  }
  EXPECT_EQ(raised, (std::vector<std::string>{"medium_one/hatch/2026-12-02T17:00:00Z/raised/2026-12-02T17:00:00Z",
                                              "high_one/shutter/2026-12-02T17:10:00Z/raised/2026-12-02T17:10:00Z",
                                              "high_one/shutter/2026-12-02T17:10:00Z/raised/2026-12-02T17:12:00Z",
                                              "high_one/shutter/2026-12-02T17:10:00Z/raised/2026-12-03T17:12:00Z"}));
}

// Raised again within 7 days it keeps its id and is no news; so its second end is none either.
TEST(NoticesTest, AnEndIsToldOnceForEachRaisingThatWasTold) {
  Household house = at("12-01 16:00");
  house.hear("12-02 16:00", "hatch", "open");
  house.hear("12-02 17:00", "hatch", "shut");
  house.wait_until("12-03 15:00");
  EXPECT_EQ(house.told(), "12-02 16:00 alarm raised hatch\n12-03 14:00 alarm cleared hatch\n");
  house.hear("12-03 16:00", "hatch", "open");
  house.restart();
  house.hear("12-03 17:00", "hatch", "shut");
  house.wait_until("12-06 14:00");
  EXPECT_EQ(house.told(), "");
  house.hear("12-20 16:00", "hatch", "open");  // another alarm, with another id
  house.hear("12-20 17:00", "hatch", "shut");
  house.wait_until("12-21 14:00");
  EXPECT_EQ(house.told(), "12-20 16:00 alarm raised hatch\n12-21 14:00 alarm cleared hatch\n");
}

TEST(NoticesTest, AnEndThatDidNotLeaveBeforeItRoseAgainIsToldWithTheNext) {
  Household house = at("12-01 16:00");
  house.hear("12-02 16:00", "hatch", "open");
  house.hear("12-02 17:00", "hatch", "shut");
  house.hear("12-02 18:00", "hatch", "open");
  house.wait_until("12-03 15:00");
  EXPECT_EQ(house.told(), "12-02 16:00 alarm raised hatch\n") << "it stands, as they know";
  house.hear("12-03 16:00", "hatch", "shut");
  house.wait_until("12-04 14:00");
  EXPECT_EQ(house.told(), "12-03 16:00 alarm cleared hatch\n");
}

TEST(NoticesTest, AReminderAmongOthersNamesItsGearWhereItsWordsDoNot) {
  constexpr std::string_view about_gear = R"(
reminders:
  look_around: {every: 7 d, message: Look around.}
  air_it: {applies_to: {gear: hatch}, every: 7 d, message: Open it.}
  named: {applies_to: {gear: locker}, every: 7 d, message: "Empty the {name}."}
)";
  Household house{plan_of_files(notices_site(no_digest), std::string(notices_rules) + std::string(about_gear)),
                  "11-06 16:00"};
  house.wait_until("11-07 14:00");
  EXPECT_EQ(house.last().title, "Alder Bend: 3 things");
  EXPECT_EQ(house.last().message, "Look around.\nHatch: Open it.\nEmpty the locker.");
}

TEST(NoticesTest, WhatWasHiddenBeforeItsNoticeLeftIsToldWhenItIsHiddenNoLonger) {
  Household house = at("12-02 04:00");
  house.hear("12-02 05:00", "hatch", "open");
  house.say("12-02 06:00", "shelve", R"({"rule":"medium_one","gear":"hatch","for":"36 h"})");
  house.wait_until("12-03 13:00");
  EXPECT_EQ(house.told(), "");
  house.wait_until("12-03 18:00");
  EXPECT_EQ(house.told(), "12-03 18:00 alarm raised hatch\n");
}

TEST(NoticesTest, AnAlarmThatWasBornHiddenIsToldWhenItIsHiddenNoLonger) {
  Household house = at("12-01 16:00");
  house.say("12-02 15:00", "shelve", R"({"rule":"medium_one","gear":"hatch","for":"2 h"})");
  house.hear("12-02 16:00", "hatch", "open");
  house.wait_until("12-02 17:00");
  EXPECT_EQ(house.told(), "12-02 17:00 alarm raised hatch\n");
}

TEST(NoticesTest, WorkOfGearThatIsTakenOutIsNotAskedFor) {
  Household house(plan_of_files(notices_site("digest: {enabled: false}\n"), R"(
reminders:
  grease_hinge: {applies_to: {gear: hatch}, every: 30 d, first: 1 d, message: Grease it.}
)"),
                  "12-02 04:00");
  house.wait_until("12-02 05:00");
  house.say("12-02 06:00", "take_out", R"({"gear":"hatch"})");
  house.wait_until("12-03 18:00");
  EXPECT_EQ(house.told(), "");
}

// -------------------------------------------------------------------------------------------------------- repeats

TEST(NoticesTest, CriticalIsSaidAgainAfterOneAndFourHoursThenDailyUntilAcknowledged) {
  Household house = at("12-01 16:00");
  house.hear("12-02 03:00", "valve", "open");
  house.wait_until("12-04 12:00");
  EXPECT_EQ(house.told(),
            "12-02 03:00 alarm raised valve\n12-02 04:00 alarm repeated valve\n"
            "12-02 07:00 alarm repeated valve\n12-03 07:00 alarm repeated valve\n"
            "12-04 07:00 alarm repeated valve\n");
  house.say("12-04 12:00", "acknowledge", R"({"rule":"critical_one","gear":"valve"})");
  house.wait_until("12-08 12:00");
  EXPECT_EQ(house.told(), "");
}

TEST(NoticesTest, ACriticalAlarmThatRisesAgainIsRepeatedFromThen) {
  Household house = at("12-01 16:00");
  house.hear("12-02 16:00", "valve", "open");
  house.hear("12-02 16:30", "valve", "shut");
  house.hear("12-02 20:00", "valve", "open");
  house.wait_until("12-03 12:00");
  EXPECT_EQ(house.told(),
            "12-02 16:00 alarm raised valve\n12-02 16:30 alarm cleared valve\n12-02 20:00 alarm raised valve\n"
            "12-02 21:00 alarm repeated valve\n12-03 00:00 alarm repeated valve\n");
}

TEST(NoticesTest, ACriticalAlarmThatIsOverIsNotRepeated) {
  Household house = at("12-01 16:00");
  house.hear("12-02 16:00", "valve", "open");
  house.hear("12-02 16:30", "valve", "shut");
  house.wait_until("12-04 12:00");
  EXPECT_EQ(house.told(), "12-02 16:00 alarm raised valve\n12-02 16:30 alarm cleared valve\n");
}

TEST(NoticesTest, AShelvedCriticalAlarmIsSaidAgainWhenTheTimeIsOver) {
  Household house = at("12-01 16:00");
  house.hear("12-02 16:00", "valve", "open");
  house.say("12-02 16:10", "shelve", R"({"rule":"critical_one","gear":"valve","for":"20 h"})");
  house.wait_until("12-03 12:20");
  EXPECT_EQ(house.told(), "12-02 16:00 alarm raised valve\n12-03 12:10 alarm repeated valve\n");
}

// --------------------------------------------------------------------------------------------------------- digest

TEST(NoticesTest, TheDigestComesOnSundayAtSixAndTakesNoBodysTurn) {
  Household house = at("12-01 16:00", "");
  house.wait_until("12-07 00:00");
  EXPECT_EQ(house.told(), "12-07 00:00 digest digest alder_bend\n");
  EXPECT_EQ(house.last().title, "The week at Alder Bend");
  EXPECT_FALSE(house.last().priority);
  house.hear("12-07 01:00", "hatch", "open");  // still Sunday
  EXPECT_EQ(house.told(), "12-07 01:00 alarm raised hatch\n");
}

TEST(NoticesTest, ADigestOfTheQuietHoursWaitsForTheMorning) {
  Household house = at("12-01 16:00", "digest: {day: sunday, at: \"22:00\"}\n");
  house.wait_until("12-08 00:00");
  EXPECT_EQ(house.told(), "12-07 14:00 digest digest alder_bend\n");
}

// ------------------------------------------------------------------------------------------------- ids and replay

std::string printed_notices(const std::vector<Notice>& notices) {
  std::string out;
  for (const Notice& n : notices) {
    append_notice(out, n);
    out += '\n';
  }
  return out;
}

Household eventful_week() {
  Household house = with_reminders_at("12-01 16:00", "");
  house.hear("12-02 03:00", "valve", "open");
  house.hear("12-02 05:00", "hatch", "open");
  house.hear("12-02 05:10", "shutter", "open");
  house.say("12-02 06:00", "shelve", R"({"rule":"medium_one","gear":"hatch","for":"1 d"})");
  house.hear("12-02 17:00", "shutter", "shut");
  house.hear("12-03 17:00", "shutter", "open");
  house.say("12-04 17:00", "done", R"({"reminder":"look_around"})");
  house.hear("12-05 17:00", "hatch", "shut");
  house.hear("12-06 17:00", "valve", "shut");
  house.hear("12-06 18:00", "valve", "open");
  house.wait_until("12-09 00:00");
  return house;
}

TEST(NoticesTest, NoTwoNoticesHaveTheSameId) {
  const Household house = eventful_week();
  std::set<std::string> ids;
  for (const Notice& n : house.everything) EXPECT_TRUE(ids.insert(n.id).second) << n.id;
  EXPECT_GT(ids.size(), 10U);
}

TEST(NoticesTest, TheSameInputsGiveTheSameNoticesAlsoOverARestartAtEachOfThem) {
  const Household house = eventful_week();
  Household again = with_reminders_at("12-01 16:00", "");
  for (const JournaledInput& input : house.inputs) {
    again.step(input.kind, input.at, input.topic, input.payload);
    again.restart();
  }
  EXPECT_EQ(printed_notices(again.everything), printed_notices(house.everything));
}

TEST(NoticesTest, TicksThatToldNothingNeedNotBeKept) {
  const Household house = eventful_week();
  Household again = with_reminders_at("12-01 16:00", "");
  Household fresh = with_reminders_at("12-01 16:00", "");
  for (const JournaledInput& input : house.inputs) {
    const Told told = again.caretaker().step(input);
    if (input.kind == JournaledInput::Kind::tick && told.nothing()) continue;
    fresh.step(input.kind, input.at, input.topic, input.payload);
  }
  EXPECT_EQ(printed_notices(fresh.everything), printed_notices(house.everything));
}

// ---------------------------------------------------------------------------------------------------------- words

TEST(NoticeTextTest, ATitleHasAtMostFiftyCharacters) {
  EXPECT_EQ(shortened("Left front tire is losing air", 50), "Left front tire is losing air");
  EXPECT_EQ(shortened("The hatch over the bed in the rear of the camper is open", 50),
            "The hatch over the bed in the rear of the camper…");
  EXPECT_EQ(shortened(std::string(50, 'x'), 50), std::string(50, 'x'));
  EXPECT_EQ(shortened(std::string(51, 'x'), 50), std::string(49, 'x') + "…");
  EXPECT_EQ(shortened("àéîõüàéîõü", 10), "àéîõüàéîõü");  // characters, not bytes
  EXPECT_EQ(shortened("àéîõüàéîõüa", 10), "àéîõüàéîõ…");
}

TEST(NoticesTest, ALongNameMakesNoLongTitle) {
  std::string long_named = notices_site("digest: {enabled: false}\n");
  long_named.replace(long_named.find("hatch: {"), 8,
                     "hatch: {name: The hatch over the bed in the rear of the camper, ");
  Household house(plan_of_files(long_named, notices_rules), "12-01 16:00");
  house.hear("12-02 16:00", "hatch", "open");
  EXPECT_EQ(house.last().title, "The hatch over the bed in the rear of the camper…");
}

constexpr std::string_view tire_site = R"(
site: {id: alder_bend, name: Alder Bend, local_time: America/Winnipeg, altitude: 232 m, display_units: us}
season: {lay_up: 2026-10-31}
places:
  outdoors:
    temperature: {topic: yard, unit: degF}
gear:
  left_front_tire:
    name: Left front tire
    kind: tire
    place: outdoors
    minimum_pressure: 40 psi
    filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}
    pressure: {topic: tire, unit: psi}
)";

// The notice of a tire that reads 39.0 psi at 12 degF.
Notice notice_of_soft_tire(const std::shared_ptr<const Plan>& plan) {
  Household house(plan, "12-02 15:00");
  for (const std::string at : {"12-02 16:00", "12-02 16:30", "12-02 17:00"}) {
    house.hear(at, "yard", "12");
    house.hear(at, "tire", "39.0");
  }
  const auto notice = std::ranges::find(house.everything, "tire_below_expected", &Notice::rule);
  return notice == house.everything.end() ? Notice{} : *notice;
}

// The finding with measured, expected and temperature; rate and date; what to do and by when; who says so.
TEST(NoticesTest, TheMessageTellsFindingThenDeedWithItsDateThenSource) {
  const Notice notice = notice_of_soft_tire(plan_of_files(tire_site, "rules: {}\n"));
  EXPECT_EQ(notice.title, "Left front tire is below what it should read");
  const std::string& text = notice.message;
  EXPECT_LE(text.find(". "), 120U);
  std::size_t at = 0;
  for (const char* part : {"39.0 psi at 12 °F; ", " ± ", " psi expected. ",
                           "Gauge it by hand and soap its valve and tread by Sat Dec 5. (sensor, just now)"}) {
    const std::size_t found = text.find(part, at);
    ASSERT_NE(found, std::string::npos) << part << " is missing or out of its order in: " << text;
    at = found;
  }
  EXPECT_EQ(notice.evidence, "fresh");
}

// A person keeps the finding in `message` and what to do in `response`.
constexpr std::string_view own_tire_rule = R"(
rules:
  tire_below_expected:
    applies_to: {kind: tire}
    with: {margin: 3 psi, back: 1 psi}
    raise_when: pressure.deviation < -max(margin, pressure.expected.plus_minus)
    clear_when: pressure.deviation > -max(margin, pressure.expected.plus_minus) + back
    on_delay: 30 min
    priority: high                   # critical | high | medium | low
    title: "{name} is below what it should read"
    message: "{pressure} at {temperature}; {pressure.expected} expected."
    consequence: A soft tire standing still flat-spots and cracks its sidewall.
    response: Gauge it by hand. Soap the valve and the tread. Do not inflate a tire that stood flat; have it looked at.
    respond_within: 3 d
    why: margin, common practice; a stick gauge is good to about 1 psi
)";

TEST(NoticesTest, ARuleThatSaysWhatToDoInItsResponseIsToldWithItsFirstSentenceAndTheDate) {
  const Notice notice =
      notice_of_soft_tire(plan_of_files(std::string(tire_site) + "rules_from: [rules.yaml]\n", own_tire_rule));
  EXPECT_TRUE(notice.message.ends_with(" psi expected. Gauge it by hand by Sat Dec 5. (sensor, just now)"))
      << notice.message;
}

// A name of a person's own, or a sentence that does not end: a phone shows 120 characters (ours; no source). The
// alarm's topic has it all.
TEST(NoticesTest, AFirstSentenceThatIsTooLongIsCutAtAWord) {
  std::string long_rule(own_tire_rule);
  const std::string end = "{pressure.expected} expected.";
  long_rule.replace(
      long_rule.find(end), end.size(),
      "{pressure.expected} expected of {name} by what was filled in October and by the temperature of the "
      "air that was measured in the yard since. Gauge it. Look at it.");
  const Notice notice =
      notice_of_soft_tire(plan_of_files(std::string(tire_site) + "rules_from: [rules.yaml]\n", long_rule));
  const std::size_t cut =
      notice.message.find("… Gauge it. Look at it. Gauge it by hand by Sat Dec 5. (sensor, just now)");
  ASSERT_NE(cut, std::string::npos) << notice.message;
  EXPECT_NE(notice.message[cut - 1], ' ') << notice.message;
  const auto points = std::ranges::count_if(notice.message.substr(0, cut), [](char c) { return (c & 0xC0) != 0x80; });
  EXPECT_GT(points, 105);
  EXPECT_LT(points, 120);
}

// Topics of one device fall silent within seconds, and each is named; so is one that follows by night.
TEST(NoticesTest, AllSensorsThatAreSilentByThenAreNamed) {
  const auto plan = plan_of_files(R"(
site: {id: alder_bend, name: Alder Bend, local_time: America/Winnipeg, display_units: us}
places:
  camper: {temperature: {topic: t, unit: degC}, humidity: {topic: h, unit: "%"}}
rules_from: [standard]
digest: {enabled: false}
)",
                                  "rules: {}\n");
  Household house(plan, "12-01 16:00");
  house.hear("12-01 21:30", "t", "5");
  house.hear("12-01 21:30:01", "h", "50");
  house.wait_until("12-02 03:30");  // 21:30 in Winnipeg: it waits for the morning
  const auto silent = std::ranges::find(house.world().alarms, AlarmLife::unacknowledged, &AlarmState::life);
  ASSERT_NE(silent, house.world().alarms.end());
  EXPECT_TRUE(silent->message.starts_with("Temperature (last heard Tue Dec 1). ")) << silent->message;
  house.wait_until("12-02 15:00");
  const std::string both = "Temperature (last heard Tue Dec 1), humidity (last heard Tue Dec 1). ";
  EXPECT_TRUE(silent->message.starts_with(both)) << silent->message;
  const auto notice = std::ranges::find(house.everything, "sensor_silent", &Notice::rule);
  ASSERT_NE(notice, house.everything.end());
  EXPECT_TRUE(notice->message.starts_with(both)) << notice->message;
}

// Whoever looks at `event` alone must not take what began for over.
TEST(NoticesTest, OfSeveralThingsWhatIsOverStandsLast) {
  const auto plan = plan_of_files(notices_site(no_digest), R"(
rules:
  medium_one: {applies_to: {gear: [locker, hatch]}, raise_when: open, priority: medium, title: "{name} is open", message: Shut it., off_delay: 1 s}
)");
  Household house(plan, "12-01 16:00");
  house.hear("12-01 18:00", "hatch", "open");
  EXPECT_EQ(house.told(), "12-01 18:00 alarm raised hatch\n");
  house.hear("12-01 19:00", "hatch", "shut");
  house.wait_until("12-01 19:01");
  house.hear("12-01 20:00", "locker", "open");
  house.wait_until("12-02 15:00");
  EXPECT_EQ(house.told(), "12-02 14:00 alarm raised Alder Bend: 2 things\n");
  EXPECT_TRUE(house.last().message.starts_with("Locker is open. ")) << house.last().message;
  EXPECT_NE(house.last().message.find("\nOver: Hatch is open. It is over."), std::string::npos) << house.last().message;
}

// Ice in a battery, explosive gas over it, a tire whose sidewall is broken: what must not be done is in the sentence
// that a notice takes from the response. Common practice, no source.
TEST(NoticesTest, WhatMustNotBeDoneIsInTheSentenceThatIsTold) {
  const auto plan = plan_of_files(std::string(tire_site) + R"(
  house_battery: {kind: lead_acid_battery, place: outdoors, capacity: 85 Ah, voltage: {topic: volts, unit: V}}
)",
                                  "rules: {}\n");
  const auto told = [&](const char* name) {
    const auto rule = std::ranges::find(plan->rules, name, &RuleSpec::name);
    return rule == plan->rules.end() ? std::string() : first_sentence(rule->response);
  };
  EXPECT_TRUE(told("battery_recharge").starts_with("Unless it may be frozen or is swollen, charge it"));
  EXPECT_TRUE(told("battery_may_freeze").starts_with("Do not charge or jump-start it while it may be frozen"));
  EXPECT_TRUE(told("charger_overvoltage").starts_with("Ventilate, no sparks or flame"));
  EXPECT_TRUE(told("tire_sudden_loss").starts_with("Do not inflate it"));
  EXPECT_NE(told("tire_under_minimum").find("unless it stood flat"), std::string::npos);
}

std::string told_of_hatch(const std::string& keys) {
  Household house(plan_of_files(notices_site(no_digest),
                                "rules:\n  open_one: {applies_to: {gear: hatch}, raise_when: "
                                "open, priority: critical, off_delay: 1 s, message: Open, " +
                                    keys + "}\n"),
                  "12-01 16:00");
  house.hear("12-02 16:00", "hatch", "open");
  house.wait_until("12-02 17:00");
  std::string lines;
  for (const Notice& n : house.everything) lines += n.message + "\n";
  return lines;
}

TEST(NoticesTest, AResponseAndItsDateAreEachToldWithoutTheOther) {
  EXPECT_EQ(told_of_hatch("response: Shut it, respond_within: 30 min"),
            "Open. Shut it by Wed Dec 2 10:30. (sensor, just now)\n"
            "Open. Shut it. It was asked for by Wed Dec 2 10:30. (sensor, 1 h ago)\n");
  EXPECT_EQ(told_of_hatch("response: Shut it! Then latch it."),
            "Open. Shut it! (sensor, just now)\nOpen. Shut it! (sensor, 1 h ago)\n");
  EXPECT_EQ(told_of_hatch("response: Shut it! Then latch it., respond_within: 3 d"),
            "Open. Shut it by Sat Dec 5! (sensor, just now)\nOpen. Shut it by Sat Dec 5! (sensor, 1 h ago)\n");
  EXPECT_EQ(told_of_hatch("respond_within: 30 min"),
            "Open. Respond by Wed Dec 2 10:30. (sensor, just now)\n"
            "Open. A response was asked for by Wed Dec 2 10:30. (sensor, 1 h ago)\n");
  EXPECT_EQ(told_of_hatch("respond_within: 3 d"),
            "Open. Respond by Sat Dec 5. (sensor, just now)\nOpen. Respond by Sat Dec 5. (sensor, 1 h ago)\n");
  EXPECT_EQ(told_of_hatch("why: none"), "Open. (sensor, just now)\nOpen. (sensor, 1 h ago)\n");
}

TEST(NoticeTextTest, ASentenceEndsAtAMarkBeforeACapitalLetter) {
  EXPECT_EQ(first_sentence("Gauge it by hand. Soap the valve."), "Gauge it by hand.");
  EXPECT_EQ(first_sentence("Gauge it by hand.\nSoap the valve."), "Gauge it by hand.");
  EXPECT_EQ(first_sentence("Gauge it by hand"), "Gauge it by hand.");
  EXPECT_EQ(first_sentence("Go out! Touch no switch."), "Go out!");
  EXPECT_EQ(first_sentence("Charge it above 12.45 V, e.g. to min. 80 %. Écoutez."),
            "Charge it above 12.45 V, e.g. to min. 80 %.");
  EXPECT_EQ(first_sentence(" \n"), "");
  EXPECT_EQ(first_sentence(""), "");
}

TEST(NoticeTextTest, AFirstSentenceIsCutAndTheRestStays) {
  EXPECT_EQ(with_short_first_sentence("Gauge it by hand. Soap the valve.", 17), "Gauge it by hand. Soap the valve.");
  EXPECT_EQ(with_short_first_sentence("Gauge it by hand. Soap the valve.", 16), "Gauge it by… Soap the valve.");
  EXPECT_EQ(with_short_first_sentence("Gauge it by hand", 8), "Gauge…");
  EXPECT_EQ(with_short_first_sentence("", 8), "");
}

TEST(NoticesTest, AHandReadingIsItsOwnSourceBesideAFreshThermometer) {
  const auto plan = plan_of_files(R"(
site: {id: alder_bend, name: Alder Bend, local_time: America/Winnipeg, display_units: us}
season: {lay_up: 2026-10-31}
places:
  outdoors:
    temperature: {topic: yard, unit: degF}
gear:
  tire: {kind: tire, place: outdoors, filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}, pressure: by_hand}
)",
                                  "rules: {}\n");
  Household house(plan, "12-02 15:00");
  house.hear("12-02 16:00", "yard", "12");
  house.say("12-02 16:01", "record", R"({"gear":"tire","quantity":"pressure","value":"30 psi"})");
  house.hear("12-02 16:01:30", "yard", "12");
  const auto notice = std::ranges::find(house.everything, "tire_below_expected", &Notice::rule);
  ASSERT_NE(notice, house.everything.end());
  EXPECT_TRUE(notice->message.ends_with(" (by hand, Wed Dec 2)")) << notice->message;
}

TEST(NoticesTest, ADeadlineThatIsNearHasATimeOfDayAndOneThatIsOverSaysSo) {
  Household house = at("12-01 16:00");
  house.hear("12-02 16:00", "shutter", "open");
  EXPECT_EQ(house.last().message, "Shut it. Respond by Wed Dec 2 13:00. (sensor, just now)");
  EXPECT_EQ(house.last().respond_by, utc("12-02 19:00"));
}

TEST(NoticesTest, JsonHasTheKeysInTheirOrderAndLeavesOutWhatDoesNotApply) {
  Household house = at("12-01 16:00");
  house.hear("12-02 16:00", "shutter", "open");
  std::string json;
  append_notice(json, house.last());
  EXPECT_EQ(json,
            R"({"id":"high_one/shutter/2026-12-02T16:00:00Z/raised/2026-12-02T16:00:00Z","at":"2026-12-02T16:00:00Z",)"
            R"("about":"alarm","event":"raised","rule":"high_one","gear":"shutter","priority":"high",)"
            R"-("title":"Shutter is wrong","message":"Shut it. Respond by Wed Dec 2 13:00. (sensor, just now)",)-"
            R"("respond_by":"2026-12-02T19:00:00Z","evidence":"fresh"})");
}

}  // namespace
}  // namespace overwinter
