// The week in a message, Sundays 18:00 local: all is well only when it was seen.
#include <gtest/gtest.h>

#include <fmt/format.h>

#include <functional>

#include "tests/rules/engine/lived.h"

namespace overwinter {
namespace {

std::string digest_site(std::string_view more) {
  return fmt::format(R"(
site: {{id: alder_bend, local_time: America/Winnipeg}}
season: {{lay_up: 2026-10-31}}
places:
  camper: {{temperature: {{topic: camper, unit: degC}}}}
{}
rules_from: [rules.yaml]
)",
                     more);
}

constexpr std::string_view digest_rules = R"(
rules:
  cold: {applies_to: {place: camper}, raise_when: temperature < -20 degC, off_delay: 1 h, message: m}
  low: {applies_to: {kind: tire}, raise_when: pressure < 30 psi, off_delay: 1 h, message: m}
)";

// From Sunday evening on, with a gap of so many hours in the second week.
std::vector<Mail> week_with_gap(int hours_lost) {
  std::vector<Mail> mail;
  for (const Mail& m : hourly("camper", "2026-11-02T00:00:00Z", 24 * 14 + 2, [](int) { return 5; })) {
    const int hour = static_cast<int>(mail.size());
    if (hour > 24 * 9 && hour < 24 * 9 + hours_lost) {
      mail.push_back({m.at, "unbound", ""});
    } else {
      mail.push_back(m);
    }
  }
  return mail;
}

std::string second_digest(int hours_lost) {
  const auto texts = digests(live(plan_with(digest_site(""), digest_rules), week_with_gap(hours_lost)));
  return texts.size() == 2 ? texts[1] : fmt::format("{} digests", texts.size());
}

TEST(Digest, ComesOnSundaysAtSixInTheEvening) {
  EXPECT_EQ(
      told(live(plan_with(digest_site(""), digest_rules), week_with_gap(0)), {EventKind::digest}),
      (std::vector<std::string>{"2026-11-09T00:00:00Z digest alder_bend", "2026-11-16T00:00:00Z digest alder_bend"}));
}

TEST(Digest, SaysAllIsWellOfAWeekThatWasSeen) {
  EXPECT_EQ(second_digest(0), "All is well. 1 thing was watched all week.");
}

TEST(Digest, SaysAllIsWellDownToNineTenthsOfTheWeek) {
  // Silent from six hours after the last reading: 22 h lost are 16 h of 168 unseen, 9.5 %; 25 h are 19 h, 11.3 %.
  EXPECT_EQ(second_digest(22), "All is well. 1 thing was watched for at least 90 % of the week.");
  EXPECT_EQ(second_digest(25), "Camper was seen for only 88 % of the week.");
}

// A program that did not run saw no gear; that is no fault of the gear, nor was it watched.
TEST(Digest, SaysOfADayInWhichNothingCouldBeHeardThatItWasSo) {
  std::vector<Mail> mail;
  for (const Mail& m : week_with_gap(0)) {
    if (m.at < "2026-11-10T06:00:00Z" || m.at >= "2026-11-13T06:00:00Z") mail.push_back(m);
  }
  mail.push_back({"2026-11-10T05:30:00Z", std::string(broker_link), "down"});
  mail.push_back({"2026-11-13T05:30:00Z", std::string(broker_link), "up"});
  const auto plan = plan_with(digest_site(""), digest_rules);
  const std::string gap =
      "Nothing could be heard from Mon 9 Nov to Thu 12 Nov: the program, its computer or the broker was down. ";
  const auto texts = digests(live_through_restart(plan, mail, "2026-11-14T00:00:00Z", plan));
  ASSERT_EQ(texts.size(), 2U);
  EXPECT_EQ(texts[0].find("heard"), std::string::npos) << texts[0];
  EXPECT_EQ(texts[1], gap + "Camper was seen for only 57 % of the week.");
  // It lasts when the digest is due.
  mail.resize(mail.size() - 1);
  std::erase_if(mail, [](const Mail& m) { return m.at > "2026-11-10T06:00:00Z"; });
  mail.push_back({"2026-11-23T05:30:00Z", std::string(broker_link), "up"});
  EXPECT_EQ(digests(live(plan, mail)).back(),
            "Nothing could be heard since Mon 9 Nov: the program, its computer or the broker was down. "
            "Camper was not seen this week.");
}

// "Nothing could be heard since Tuesday. Watched since Tuesday." would say both.
TEST(Digest, SaysOfAPartWeekWithAGapOnlyTheGap) {
  const auto until_noon = [](const std::vector<Mail>& more) {
    return digests(live(plan_with(digest_site(""), digest_rules),
                        together({hourly("camper", "2026-11-04T06:00:00Z", 6, [](int) { return 5; }), more})))
        .front();
  };
  const std::string since = "Watched since";
  EXPECT_NE(until_noon({{"2026-11-09T06:00:00Z", "camper", "5"}}).find(since), std::string::npos);
  const std::string gap = until_noon({{"2026-11-04T18:00:00Z", std::string(broker_link), "down"},
                                      {"2026-11-09T06:00:00Z", std::string(broker_link), "up"}});
  EXPECT_TRUE(gap.starts_with("Nothing could be heard since Wed 4 Nov: ")) << gap;
  EXPECT_EQ(gap.find(since), std::string::npos) << gap;
}

TEST(Digest, SetsWhatIsToDoApart) {
  constexpr std::string_view work = R"(
reminders:
  look: {every: 1 week, first: 1 d, message: look at it}
  air: {every: 1 week, first: 1 d, message: "Is it dry?"}
  sweep: {every: 1 week, first: 1 d, message: "sweep {name}", applies_to: {place: camper}}
)";
  const auto mail = hourly("camper", "2026-11-02T00:00:00Z", 24 * 7 + 2, [](int) { return 5; });
  const std::string text = digests(live(plan_with(digest_site(""), work), mail)).front();
  EXPECT_NE(text.find("To do: Look at it. Is it dry? Sweep camper."), std::string::npos) << text;
}

// Its rules read what is of others: it is no thing that is watched.
TEST(Digest, CountsTheSiteAsNoThing) {
  constexpr std::string_view of_the_site = R"(
  cold_site: {applies_to: site, raise_when: camper.temperature < -30 degC, off_delay: 1 h, message: m}
)";
  const std::string rules = std::string(digest_rules) + std::string(of_the_site);
  const auto last = [&](int hours_lost) {
    return digests(live(plan_with(digest_site(""), rules), week_with_gap(hours_lost))).back();
  };
  EXPECT_EQ(last(0), "All is well. 1 thing was watched all week.");
  EXPECT_EQ(
      last(25),
      "What the rules of the whole site read was seen for only 88 % of the week. Camper was seen for only 88 % of "
      "the week.");
}

// Watched since midnight: eighteen quiet hours are no week.
TEST(Digest, SaysSinceWhenItWatchesWhereThatIsNoWeek) {
  const auto first = [](int heard) {
    auto mail = hourly("camper", "2026-11-08T06:00:00Z", heard, [](int) { return 5; });
    mail.push_back({"2026-11-09T01:00:00Z", "unbound", ""});
    return digests(live(plan_with(digest_site(""), digest_rules), mail)).front();
  };
  EXPECT_EQ(
      first(18),
      "Nothing wrong was seen so far. 1 thing has been watched since Sun 8 Nov 00:00, which is no whole week yet.");
  EXPECT_EQ(first(4), "Watched since Sun 8 Nov 00:00. Camper was seen for only 50 % of that time.");
}

TEST(Digest, SaysSinceWhenItWatchesWhateverTheRestOfAPartWeekSays) {
  const std::string since = "Watched since Sun 8 Nov 00:00. ";
  const auto first = [](std::string_view gear, int temperature) {
    auto mail = hourly("camper", "2026-11-08T06:00:00Z", 18, [temperature](int) { return temperature; });
    mail.push_back({"2026-11-09T01:00:00Z", "unbound", ""});
    return digests(live(plan_with(digest_site(gear), digest_rules), mail)).front();
  };
  const std::string rest = " 1 other thing was watched all that time and nothing was wrong.";
  EXPECT_EQ(first("gear: {left_tire: {kind: tire, place: camper, pressure: by_hand}}", 5),
            since + "Not read by hand yet: left tire; take a reading at the next visit." + rest);
  EXPECT_EQ(first("gear: {left_tire: {kind: tire, place: camper}}", 5),
            since + "Not watched, for it has no source of readings: left tire." + rest);
  const std::string standing = first("", -30);  // all was seen, and an alarm stands
  EXPECT_TRUE(standing.starts_with(since + "Still standing: ")) << standing;
}

TEST(Digest, SaysOfGearWithADeadSensorThatAPersonReadIt) {
  constexpr std::string_view tire = R"(
gear:
  left_tire: {kind: tire, place: camper, pressure: {topic: p, unit: psi}, temperature: {topic: t, unit: degC}}
)";
  constexpr std::string_view rule = R"(
rules:
  off: {applies_to: {kind: tire}, raise_when: pressure < 30 psi or temperature > 60 degC, off_delay: 1 h, message: m}
)";
  std::vector<Mail> mail{{"2026-11-02T00:00:00Z", "unbound", ""}, {"2026-11-16T01:00:00Z", "unbound", ""}};
  mail.push_back(
      command("2026-11-06T18:00:00Z", "record", R"({"gear":"left_tire","quantity":"pressure","value":"50 psi"})"));
  const auto texts = digests(live(plan_with(digest_site(tire), rule), mail));
  ASSERT_EQ(texts.size(), 2U);
  EXPECT_EQ(texts[0], "Left tire was read by hand on Fri 6 Nov. Its sensor was not seen this week.");
  EXPECT_EQ(texts[1], "Left tire was not seen this week.");
}

TEST(Digest, IsKindAboutGearThatNobodyReadYet) {
  const std::string more = "gear: {left_tire: {kind: tire, place: camper, pressure: by_hand}}";
  EXPECT_EQ(digests(live(plan_with(digest_site(more), digest_rules), week_with_gap(0))).front(),
            "Not read by hand yet: left tire; take a reading at the next visit. "
            "1 other thing was watched all week and nothing was wrong.");
}

// Of the rest it says that nothing was wrong only where nothing was, and where all were heard.
TEST(Digest, SaysOfTheRestThatNothingWasWrongOnlyWhereThatIsTrue) {
  const auto first = [](std::string_view gear, int coldest) {
    std::string more = "gear:\n  left_tire: {kind: tire, place: camper, pressure: by_hand}\n";
    const auto mail = hourly("camper", "2026-11-02T00:00:00Z", 24 * 7 + 2,
                             [coldest](int hour) { return hour > 50 && hour < 55 ? coldest : 5; });
    return digests(live(plan_with(digest_site(more += gear), digest_rules), mail)).front();
  };
  const std::string unread = "Not read by hand yet: left tire; take a reading at the next visit.";
  EXPECT_EQ(first("", 5), unread + " 1 other thing was watched all week and nothing was wrong.");
  EXPECT_EQ(first("", -30), unread + " 1 alarm was raised this week.");
  const std::string unheard =
      first("  hatch: {kind: door_or_vent, place: camper, should_be: closed, open: {topic: hatch}}\n", 5);
  EXPECT_TRUE(unheard.starts_with(unread + " Never heard: ")) << unheard;
}

TEST(Digest, IsKindAboutItAlsoWhereItsPlaceIsSilent) {
  const std::string more = "gear: {left_tire: {kind: tire, place: camper, pressure: by_hand}}";
  const std::string either = R"(
rules:
  low: {applies_to: {kind: tire}, raise_when: place.temperature < -40 degC or pressure < 30 psi, off_delay: 1 h, message: m}
)";
  const std::vector<Mail> nothing{{"2026-11-02T00:00:00Z", "unbound", ""}, {"2026-11-09T01:00:00Z", "unbound", ""}};
  EXPECT_EQ(digests(live(plan_with(digest_site(more), either), nothing)).front(),
            "Not read by hand yet: left tire; take a reading at the next visit.");
}

TEST(Digest, SaysSinceWhenGearIsWatchedThatWasReadByHand) {
  const std::string more = "gear: {left_tire: {kind: tire, place: camper, pressure: by_hand}}";
  auto mail = week_with_gap(0);
  mail.push_back(
      command("2026-11-08T23:00:00Z", "record", R"({"gear":"left_tire","quantity":"pressure","value":"50 psi"})"));
  const auto texts = digests(live(plan_with(digest_site(more), digest_rules), mail));
  ASSERT_EQ(texts.size(), 2U);
  EXPECT_EQ(texts[0],
            "Read by hand this week, and watched since: left tire. "
            "1 other thing was watched all week and nothing was wrong.");
  EXPECT_EQ(texts[1],
            "Nothing is known to be wrong. 1 thing was watched all week; 1 was last read by hand on Sun 8 Nov.");
}

// Hand readings stand until the next; that nobody looked meanwhile is no week that was well.
TEST(Digest, SaysWhenAPersonLastLookedAtWhatNoSensorWatches) {
  constexpr std::string_view site = R"(
site: {id: alder_bend, local_time: America/Winnipeg}
season: {lay_up: 2026-10-31}
gear: {left_tire: {kind: tire, pressure: by_hand}, right_tire: {kind: tire, pressure: by_hand}}
rules_from: [rules.yaml]
)";
  constexpr std::string_view low =
      "rules: {low: {applies_to: {kind: tire}, raise_when: pressure < 30 psi, message: m}}\n";
  const auto read = [](std::string_view at, std::string_view tire) {
    return command(at, "record", fmt::format(R"({{"gear":"{}","quantity":"pressure","value":"50 psi"}})", tire));
  };
  const auto texts = digests(live(plan_with(site, low), {read("2026-11-02T01:00:00Z", "left_tire"),
                                                         read("2026-11-02T01:00:00Z", "right_tire"),
                                                         read("2026-11-17T18:00:00Z", "left_tire"),
                                                         read("2026-11-24T18:00:00Z", "right_tire"),
                                                         read("2026-11-24T18:00:00Z", "left_tire"),
                                                         read("2026-12-08T18:00:00Z", "right_tire"),
                                                         {"2026-12-21T01:00:00Z", "unbound", ""}}));
  ASSERT_EQ(texts.size(), 7U);
  EXPECT_EQ(texts[1], "Nothing is known to be wrong. 2 things were last read by hand on Sun 1 Nov.");
  EXPECT_EQ(texts[2],
            "Nothing is known to be wrong. 1 thing was watched all week; 1 was last read by hand on Sun 1 Nov.");
  EXPECT_EQ(texts[3], "All is well. 2 things were watched all week.");
  EXPECT_EQ(texts[4], "Nothing is known to be wrong. 2 things were last read by hand on Tue 24 Nov.");
  EXPECT_EQ(texts[6], "Nothing is known to be wrong. 2 things were last read by hand from Tue 24 Nov to Tue 8 Dec.");
}

TEST(Digest, SaysOfGearThatWasNotSeenThatItWasNot) {
  const std::vector<Mail> nothing{{"2026-11-02T00:00:00Z", "unbound", ""}, {"2026-11-09T01:00:00Z", "unbound", ""}};
  EXPECT_EQ(digests(live(plan_with(digest_site(""), digest_rules), nothing)).front(), "Camper was not seen this week.");
}

// Heard all week, and no rule could be decided: that is not well.
TEST(Digest, SaysOfGearThatCannotBeJudgedWhatIsMissing) {
  constexpr std::string_view site = R"(
site: {id: alder_bend, local_time: America/Winnipeg}
season: {lay_up: 2026-10-31}
places: {pavement: {}}
gear:
  left_tire: {kind: tire, place: pavement, filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}, pressure: {topic: p, unit: psi}}
  battery: {kind: lead_acid_battery, place: pavement, capacity: 85 Ah, voltage: {topic: v, unit: V}}
)";
  const auto mail = together({hourly("p", "2026-11-02T00:00:00Z", 200, [](int i) { return 50 - i / 24.0; }),
                              hourly("v", "2026-11-02T00:00:00Z", 200, [](int) { return 12.6; })});
  const auto texts = digests(live(plan_with(site), mail));
  ASSERT_FALSE(texts.empty());
  EXPECT_EQ(texts[0].find("All is well"), std::string::npos) << texts[0];
  EXPECT_NE(texts[0].find("Left tire is heard, but cannot be judged: the temperature of the tire, or of its place, is "
                          "not known"),
            std::string::npos)
      << texts[0];
  EXPECT_NE(texts[0].find("Battery is heard, but cannot be judged: "), std::string::npos) << texts[0];
}

// Each answer said "not judged", and nothing else can say how they stand.
TEST(Digest, IsNotWellWhileHandReadingsWereNotJudged) {
  constexpr std::string_view site = R"(
site: {id: alder_bend, local_time: America/Winnipeg}
season: {lay_up: 2026-10-31}
places: {pavement: {}}
gear:
  left_tire: {kind: tire, place: pavement, filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}, pressure: by_hand}
  battery: {kind: lead_acid_battery, place: pavement, capacity: 85 Ah, voltage: by_hand}
)";
  const std::vector<Mail> mail{
      command("2026-11-02T01:00:00Z", "record", R"({"gear":"left_tire","quantity":"pressure","value":"9 psi"})"),
      command("2026-11-02T01:00:00Z", "record", R"({"gear":"battery","quantity":"voltage","value":"11.6 V"})"),
      {"2026-11-16T01:00:00Z", "unbound", ""}};
  for (const std::string& text : digests(live(plan_with(site), mail))) {
    EXPECT_EQ(text.find("All is well"), std::string::npos) << text;
    EXPECT_NE(
        text.find("Left tire was read, but cannot be judged: the temperature of the tire, or of its place, is not "
                  "known at that instant."),
        std::string::npos)
        << text;
    EXPECT_NE(
        text.find("Battery was read, but cannot be judged: the temperature of the battery, or of its place, is not "
                  "known."),
        std::string::npos)
        << text;
  }
}

// Beside a thermometer that is read by hand too: weeks later its temperature is not known, and that of then is.
TEST(Digest, LeavesAHandReadingJudgedAsItWasThen) {
  constexpr std::string_view site = R"(
site: {id: alder_bend, local_time: America/Winnipeg}
season: {lay_up: 2026-10-31}
places: {pavement: {temperature: by_hand}}
gear:
  left_tire: {kind: tire, place: pavement, filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}, pressure: by_hand}
  battery: {kind: lead_acid_battery, place: pavement, capacity: 85 Ah, voltage: by_hand}
)";
  const std::vector<Mail> mail{
      command("2026-11-02T01:00:00Z", "record", R"({"gear":"pavement","quantity":"temperature","value":"41 degF"})"),
      command("2026-11-02T01:01:00Z", "record", R"({"gear":"left_tire","quantity":"pressure","value":"49 psi"})"),
      command("2026-11-02T01:01:00Z", "record", R"({"gear":"battery","quantity":"voltage","value":"12.6 V"})"),
      {"2026-11-23T01:00:00Z", "unbound", ""}};
  const auto texts = digests(live(plan_with(site), mail));
  ASSERT_EQ(texts.size(), 3U);
  for (const std::string& text : texts) EXPECT_EQ(text.find("judged"), std::string::npos) << text;
}

TEST(Digest, NamesGearThatHasNoSource) {
  const std::string more = "gear: {left_tire: {kind: tire, place: camper}}";
  EXPECT_EQ(digests(live(plan_with(digest_site(more), digest_rules), week_with_gap(0))).front(),
            "Not watched, for it has no source of readings: left tire. "
            "1 other thing was watched all week and nothing was wrong.");
}

// Whether a generator runs is no number: its silence is no alarm, and yet nobody knows how it is.
TEST(Digest, DoesNotCallItWellWhereASensorWasNeverHeard) {
  const auto texts =
      digests(live(plan_with(digest_site("gear: {generator: {kind: generator, running: {topic: run}}}"), digest_rules),
                   week_with_gap(0)));
  ASSERT_EQ(texts.size(), 2U);
  EXPECT_EQ(texts[1], "1 thing was watched all week. Never heard: generator running; is the topic right?");
}

// 120 characters are what a notice's first sentence may have (MESSAGES.md, ours).
TEST(Digest, BeginsWithAShortSentenceBeforeALongList) {
  std::string more = "gear:\n";
  const auto add = [&more](int tire) {
    more += fmt::format("  tire_{0}: {{name: Tire {0} of the long trailer, kind: tire, place: camper}}\n", tire);
  };
  const auto first = [&more] {
    return digests(live(plan_with(digest_site(more), digest_rules), week_with_gap(0))).front();
  };
  for (int tire = 1; tire <= 2; ++tire) add(tire);
  EXPECT_TRUE(first().starts_with("Not watched, for it has no source of readings: Tire 1 of")) << first();
  for (int tire = 3; tire <= 12; ++tire) add(tire);
  EXPECT_TRUE(first().starts_with(
      "12 things were not watched as they should be. Not watched, for it has no source of readings: Tire 1 of"))
      << first();
}

// Its load is heard while it runs alone: no alarm, and well all the same, but somebody may look at the topic.
TEST(Digest, AsksAboutALoadThatWasNeverHeard) {
  const auto texts = digests(
      live(plan_with(digest_site("gear: {generator: {kind: generator, load: {topic: load, unit: W}}}"), digest_rules),
           week_with_gap(0)));
  ASSERT_EQ(texts.size(), 2U);
  EXPECT_EQ(texts[1], "All is well. 1 thing was watched all week. Never heard: generator load; is the topic right?");
}

TEST(Digest, LeavesOutWhatAPersonTookOut) {
  const std::string more = "gear: {left_tire: {kind: tire, place: camper, pressure: by_hand}}";
  auto mail = week_with_gap(0);
  mail.push_back(command("2026-11-03T00:00:00Z", "take_out", R"({"gear":"left_tire","why":"at the shop"})"));
  EXPECT_EQ(digests(live(plan_with(digest_site(more), digest_rules), mail)).front(),
            "All is well. 1 thing was watched all week. Out of service: left tire.");
}

TEST(Digest, NeverCallsItWellWhenNothingIsWatched) {
  const Lived lived = live(plan_with(digest_site(""), "rules: {}\n"), week_with_gap(0));
  EXPECT_EQ(digests(lived).front().find("All is well"), std::string::npos) << digests(lived).front();
}

constexpr std::string_view battery_in_garage = R"(
site: {id: alder_bend, local_time: America/Winnipeg}
season: {lay_up: 2026-10-31}
places:
  garage: {temperature: {topic: garage, unit: degC}}
gear:
  house_battery: {kind: lead_acid_battery, place: garage, capacity: 85 Ah, voltage: {topic: volts, unit: V}}
)";

// The first week of a run-down battery, hour by hour.
std::string digest_of_battery(const std::function<double(int)>& celsius, const std::function<double(int)>& volts) {
  constexpr std::string_view from = "2026-11-02T06:00:00Z";
  return digests(live(plan_with(battery_in_garage),
                      together({hourly("garage", from, 24 * 7, celsius), hourly("volts", from, 24 * 7, volts)})))
      .front();
}

double run_down(int hour) { return hour % 2 == 0 ? 11.700 : 11.701; }

// A frozen battery on a charger can explode (US Army TM 5-1185 forbids it): no word of charging while it may be frozen.
TEST(Digest, AsksNobodyToChargeABatteryThatMayBeFrozen) {
  const auto mild = digest_of_battery([](int) { return 5; }, run_down);
  EXPECT_NE(mild.find("To do: Charge house battery"), std::string::npos) << mild;
  const auto cold = digest_of_battery([](int i) { return i < 72 ? 5 : -14; }, run_down);
  EXPECT_NE(cold.find("House battery may freeze"), std::string::npos) << cold;
  EXPECT_EQ(cold.find("Charge"), std::string::npos) << cold;
}

// 13.5 V is a charger's voltage: 2.25 V a cell, float (common practice, no source).
TEST(Digest, AsksNobodyToChargeABatteryThatStandsOnItsCharger) {
  const auto text = digest_of_battery([](int) { return 5; }, [](int i) { return i < 160 ? run_down(i) : 13.5; });
  EXPECT_NE(text.find("House battery wants charging"), std::string::npos) << text;
  EXPECT_EQ(text.find("To do: Charge house battery"), std::string::npos) << text;
}

TEST(Digest, IsNotWellWhileAnAlarmStandsEvenOnTheShelf) {
  auto mail = hourly("camper", "2026-11-02T00:00:00Z", 24 * 7 + 2, [](int) { return -25; });
  const auto standing = digests(live(plan_with(digest_site(""), digest_rules), mail));
  EXPECT_EQ(standing.front().find("All is well"), std::string::npos);
  EXPECT_NE(standing.front().find("Still standing: Camper: cold"), std::string::npos) << standing.front();
  mail.push_back(command("2026-11-03T00:00:00Z", "shelve", R"({"rule":"cold","gear":"camper","for":"20 d"})"));
  const auto shelved = digests(live(plan_with(digest_site(""), digest_rules), mail));
  EXPECT_EQ(shelved.front().find("All is well"), std::string::npos) << shelved.front();
  EXPECT_NE(shelved.front().find("1 alarm is shelved."), std::string::npos) << shelved.front();
}

// What follows a sensor by medians of days rests on that sensor all the same.
TEST(Digest, SaysOfABatteryWhoseSensorIsSilentThatItWasNotSeen) {
  constexpr std::string_view rule = R"(
rules:
  low: {applies_to: {kind: lead_acid_battery}, raise_when: state_of_charge < 50 %, off_delay: 1 h, message: m}
)";
  constexpr std::string_view from = "2026-11-02T06:00:00Z";
  const std::string site = std::string(battery_in_garage) + "rules_from: [rules.yaml]\n";
  const auto texts = digests(live(
      plan_with(site, rule),
      together({hourly("garage", from, 24 * 14, [](int) { return 5; }), hourly("volts", from, 24 * 7, run_down)})));
  ASSERT_EQ(texts.size(), 2U);
  EXPECT_EQ(texts[0].find("Nothing was watched"), std::string::npos) << texts[0];
  EXPECT_NE(texts[1].find("House battery was seen for only"), std::string::npos) << texts[1];
}

}  // namespace
}  // namespace overwinter
