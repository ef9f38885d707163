// When a household is told what. The schedule is our own choice; no source.
#include "daemon/notices.h"

#include <gtest/gtest.h>

#include <set>

#include "tests/daemon/notices_site.h"

namespace overwinter {
namespace {

// ------------------------------------------------------------------------------------------------------- one a day

TEST(Notices, TheFirstSmallAlarmOfADayLeavesAtOnceAndTheNextWaitForTomorrow) {
  Household house = at("12-01 16:00");
  house.hear("12-01 18:00", "hatch", "open");
  EXPECT_EQ(house.told(), "12-01 18:00 alarm raised hatch\n");
  house.hear("12-01 18:10", "locker", "open");
  house.wait_until("12-02 13:59");
  EXPECT_EQ(house.told(), "");
  house.wait_until("12-02 14:00");
  EXPECT_EQ(house.told(), "12-02 14:00 alarm raised locker\n");
}

TEST(Notices, RemindersAndSmallAlarmsOfTheNightLeaveTogetherAtEight) {
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

TEST(Notices, HighAndCriticalLeaveAtOnceAlsoAtNight) {
  Household house = at("12-01 16:00");
  house.hear("12-02 07:00", "shutter", "open");
  house.hear("12-02 07:01", "valve", "open");
  EXPECT_EQ(house.told(), "12-02 07:00 alarm raised shutter\n12-02 07:01 alarm raised valve\n");
}

TEST(Notices, NothingBelowHighLeavesInTheQuietHours) {
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

TEST(Notices, WhatWasToLeaveInADowntimeThatEndsAtNightWaitsForTheMorning) {
  Household house = at("12-01 16:00");
  house.hear("12-02 13:20", "locker", "open");  // 07:20, for 08:00
  // The first word after the downtime, at 03:00.
  house.step(JournaledInput::Kind::message, utc("12-03 09:00"), "shutter", "closed");
  EXPECT_EQ(house.told(), "");
  house.wait_until("12-03 14:00");
  EXPECT_EQ(house.told(), "12-03 14:00 alarm raised locker\n");
}

TEST(Notices, TheSiteFileChoosesTheHoursAndTheQuietOnesWin) {
  Household house = at("12-01 15:30", "digest: {enabled: false}\nnotices: {at: \"06:00\", quiet: \"22:00-09:00\"}\n");
  house.wait_until("12-01 15:30");
  house.hear("12-02 05:00", "hatch", "open");   // 23:00
  house.hear("12-02 14:30", "locker", "open");  // 08:30: after the notice's hour, still quiet
  house.wait_until("12-02 16:00");
  EXPECT_EQ(house.told(), "12-02 15:00 alarm raised Alder Bend: 2 things\n");
}

// On November 1, 2026 at 02:00 clocks went back by an hour; on March 14, 2027 at 02:00 they go forward.
TEST(Notices, EightIsEightOnTheDaysOnWhichClocksChange) {
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

TEST(Notices, WhatFellDueInAWeekWithoutPowerIsOneNotice) {
  Household house = with_reminders_at("12-01 16:00");
  EXPECT_EQ(house.told(), "12-01 16:00 reminder due Alder Bend: 2 things\n");
  house.step(JournaledInput::Kind::message, utc("12-20 18:00"), "hatch", "open");
  EXPECT_EQ(house.told(), "12-20 18:00 alarm raised Alder Bend: 3 things\n");  // both overdue, and the hatch
}

// ------------------------------------------------------------------------------------------------------- withdrawn

TEST(Notices, WhatIsOverBeforeItLeftIsNeverTold) {
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

TEST(Notices, AnEndIsToldOnlyOfWhatWasTold) {
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
  EXPECT_EQ(house.last().title, "Watched no longer: Shutter is wrong");
  EXPECT_EQ(house.last().message, "It is watched no longer: out of service.");
}

TEST(Notices, ASmallAlarmThatComesBackWithItsOldIdIsNoNewsAndALargeOneIs) {
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
TEST(Notices, AnEndIsToldOnceForEachRaisingThatWasTold) {
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

TEST(Notices, AnEndThatDidNotLeaveBeforeItRoseAgainIsToldWithTheNext) {
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

TEST(Notices, AReminderAmongOthersNamesItsGearWhereItsWordsDoNot) {
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
  EXPECT_EQ(
      house.last().message,
      "Look around. Do it by Sun Nov 8.\nHatch: Open it. Do it by Sun Nov 8.\nEmpty the locker. Do it by Sun Nov 8.");
}

// Who charges a battery or runs an engine sees what can hurt where the work is asked for. Common practice, no source.
TEST(Notices, AReminderSaysByWhenAndWhatCanHurt) {
  constexpr std::string_view work = R"(
reminders:
  run_it: {every: 7 d, grace: 3 d, message: Run it, safety: "Carbon monoxide kills: outdoors only. Mind the fuel."}
  empty_traps: {every: 7 d, grace: 3 d, message: Empty the traps.}
)";
  Household house{plan_of_files(notices_site(no_digest), std::string(notices_rules) + std::string(work)),
                  "11-06 16:00"};
  house.wait_until("11-07 14:00");
  EXPECT_EQ(house.last().message,
            "Run it. Do it by Tue Nov 10. Carbon monoxide kills: outdoors only.\n"
            "Empty the traps. Do it by Tue Nov 10.");
  house.say("11-09 16:00", "done", R"({"reminder":"empty_traps"})");
  house.wait_until("11-10 15:00");
  EXPECT_EQ(house.last().title, "Overdue: Alder Bend, run it");
  EXPECT_EQ(house.last().message, "Run it. It was due Sat Nov 7. Carbon monoxide kills: outdoors only.");
}

TEST(Notices, WhatIsOverdueAmongOthersSaysSo) {
  Household house = with_reminders_at("11-06 16:00");
  house.wait_until("11-09 15:00");
  EXPECT_EQ(house.last().message,
            "Overdue: Look around. It was due Sat Nov 7.\nOverdue: Empty the traps. It was due Sat Nov 7.");
}

TEST(Notices, WhatWasHiddenBeforeItsNoticeLeftIsToldWhenItIsHiddenNoLonger) {
  Household house = at("12-02 04:00");
  house.hear("12-02 05:00", "hatch", "open");
  house.say("12-02 06:00", "shelve", R"({"rule":"medium_one","gear":"hatch","for":"36 h"})");
  house.wait_until("12-03 13:00");
  EXPECT_EQ(house.told(), "");
  house.wait_until("12-03 18:00");
  EXPECT_EQ(house.told(), "12-03 18:00 alarm raised hatch\n");
}

TEST(Notices, AnAlarmThatWasBornHiddenIsToldWhenItIsHiddenNoLonger) {
  Household house = at("12-01 16:00");
  house.say("12-02 15:00", "shelve", R"({"rule":"medium_one","gear":"hatch","for":"2 h"})");
  house.hear("12-02 16:00", "hatch", "open");
  house.wait_until("12-02 17:00");
  EXPECT_EQ(house.told(), "12-02 17:00 alarm raised hatch\n");
}

TEST(Notices, WorkOfGearThatIsTakenOutIsNotAskedFor) {
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

TEST(Notices, CriticalIsSaidAgainAfterOneAndFourHoursThenDailyUntilAcknowledged) {
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

TEST(Notices, ACriticalAlarmThatRisesAgainIsRepeatedFromThen) {
  Household house = at("12-01 16:00");
  house.hear("12-02 16:00", "valve", "open");
  house.hear("12-02 16:30", "valve", "shut");
  house.hear("12-02 20:00", "valve", "open");
  house.wait_until("12-03 12:00");
  EXPECT_EQ(house.told(),
            "12-02 16:00 alarm raised valve\n12-02 16:30 alarm cleared valve\n12-02 20:00 alarm raised valve\n"
            "12-02 21:00 alarm repeated valve\n12-03 00:00 alarm repeated valve\n");
}

TEST(Notices, ACriticalAlarmThatIsOverIsNotRepeated) {
  Household house = at("12-01 16:00");
  house.hear("12-02 16:00", "valve", "open");
  house.hear("12-02 16:30", "valve", "shut");
  house.wait_until("12-04 12:00");
  EXPECT_EQ(house.told(), "12-02 16:00 alarm raised valve\n12-02 16:30 alarm cleared valve\n");
}

TEST(Notices, AShelvedCriticalAlarmIsSaidAgainWhenTheTimeIsOver) {
  Household house = at("12-01 16:00");
  house.hear("12-02 16:00", "valve", "open");
  house.say("12-02 16:10", "shelve", R"({"rule":"critical_one","gear":"valve","for":"20 h"})");
  house.wait_until("12-03 12:20");
  EXPECT_EQ(house.told(), "12-02 16:00 alarm raised valve\n12-03 12:10 alarm repeated valve\n");
}

// --------------------------------------------------------------------------------------------------------- digest

TEST(Notices, TheDigestComesOnSundayAtSixAndTakesNoBodysTurn) {
  Household house = at("12-01 16:00", "");
  house.wait_until("12-07 00:00");
  EXPECT_EQ(house.told(), "12-07 00:00 digest digest alder_bend\n");
  EXPECT_EQ(house.last().title, "The week at Alder Bend");
  EXPECT_FALSE(house.last().priority);
  house.hear("12-07 01:00", "hatch", "open");  // still Sunday
  EXPECT_EQ(house.told(), "12-07 01:00 alarm raised hatch\n");
}

TEST(Notices, ADigestOfTheQuietHoursWaitsForTheMorning) {
  Household house = at("12-01 16:00", "digest: {day: sunday, at: \"22:00\"}\n");
  house.wait_until("12-08 00:00");
  EXPECT_EQ(house.told(), "12-07 14:00 digest digest alder_bend\n");
}

// Who keeps digests for Sunday coffee must not take a notice with an alarm in it for one.
TEST(Notices, ADigestThatWaitedWithAnAlarmStandsBehindIt) {
  Household house = at("12-01 16:00", "digest: {day: sunday, at: \"22:00\"}\n");
  house.hear("12-07 07:00", "locker", "open");
  house.wait_until("12-07 15:00");
  EXPECT_EQ(house.told(), "12-07 14:00 alarm raised Alder Bend: 2 things\n");
  EXPECT_EQ(house.last().priority, Priority::low);
  EXPECT_TRUE(house.last().message.starts_with("Locker is open. Shut it.")) << house.last().message;
}

// Down from Sunday noon to Wednesday noon: what it says of the week is no news of today.
TEST(Notices, ADigestOfADowntimeLeavesWhenTheBrokerIsBackAndSaysWhyItIsLate) {
  Household house = at("12-01 16:00", "");
  house.step(JournaledInput::Kind::link_down, utc("12-06 18:00"), {}, {});
  house.step(JournaledInput::Kind::journal_writable, utc("12-09 18:00"), {}, {});
  EXPECT_EQ(house.told(), "");
  house.restart();
  house.step(JournaledInput::Kind::link_up, utc("12-09 18:01"), {}, {});
  EXPECT_EQ(house.told(), "12-09 18:01 digest digest alder_bend\n");
  const std::string late =
      "This comes late: nothing could be heard from Sun Dec 6 to Wed Dec 9. The week to Sun Dec 6: ";
  EXPECT_EQ(house.last().message.substr(0, late.size()), late);
}

TEST(Notices, ADigestThatAnHourWithoutTheBrokerHeldBackSaysNothingOfIt) {
  Household house = at("12-01 16:00", "");
  house.step(JournaledInput::Kind::link_down, utc("12-06 23:30"), {}, {});
  house.wait_until("12-07 00:10");
  EXPECT_EQ(house.told(), "");
  house.step(JournaledInput::Kind::link_up, utc("12-07 00:30"), {}, {});
  EXPECT_EQ(house.told(), "12-07 00:30 digest digest alder_bend\n");
  EXPECT_EQ(house.last().message.find("late"), std::string::npos) << house.last().message;
}

}  // namespace
}  // namespace overwinter
