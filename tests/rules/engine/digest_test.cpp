// The week in a message, Sundays 18:00 local: all is well only when it was seen.
#include <gtest/gtest.h>

#include <fmt/format.h>

#include <algorithm>

#include "tests/rules/engine/digest_site.h"
#include "tests/rules/engine/lived.h"

namespace overwinter {
namespace {

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

// A battery whose voltage was read was read: it is its acid that was not.
TEST(Digest, NamesWhatNobodyReadOfGearThatWasReadOtherwise) {
  const std::string more =
      "gear: {battery: {kind: lead_acid_battery, place: camper, voltage: by_hand, specific_gravity: by_hand}}";
  auto mail = week_with_gap(0);
  mail.push_back(
      command("2026-11-05T18:00:00Z", "record", R"({"gear":"battery","quantity":"voltage","value":"12.6 V"})"));
  std::ranges::stable_sort(mail, {}, &Mail::at);
  const std::string rules = std::string(digest_rules) + R"(
  weak: {applies_to: {kind: lead_acid_battery}, raise_when: voltage < 12 V or specific_gravity < 1.1, off_delay: 1 h, message: m}
)";
  const std::string text = digests(live(plan_with(digest_site(more), rules), mail)).front();
  EXPECT_TRUE(text.starts_with("Not read by hand yet: battery specific gravity; take a reading")) << text;
}

TEST(Digest, AsksOnceForAThermometerThatTwoThingsLack) {
  constexpr std::string_view hatches = R"(
  shed: {temperature: by_hand}
gear:
  front_hatch: {kind: door_or_vent, place: shed, open: {topic: front}}
  rear_hatch: {kind: door_or_vent, place: shed, open: {topic: rear}}
)";
  constexpr std::string_view rule = R"(
rules:
  snow: {applies_to: {kind: door_or_vent}, raise_when: open and place.temperature < 0 degC, off_delay: 1 h, message: m}
)";
  const std::vector<Mail> mail{{"2026-11-02T00:00:00Z", "front", "shut"},
                               {"2026-11-02T00:00:00Z", "rear", "shut"},
                               {"2026-11-09T01:00:00Z", "unbound", ""}};
  const std::string text = digests(live(plan_with(digest_site(hatches), rule), mail)).front();
  EXPECT_TRUE(text.starts_with("Not read by hand yet: shed temperature; take a reading")) << text;
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

// Two of one name are two.
TEST(Digest, NamesEachOfTwoThingsOfOneName) {
  const std::string spare = "{kind: tire, name: Spare tire, place: camper}";
  const std::string more = "gear: {left: " + spare + ", right: " + spare + "}";
  EXPECT_EQ(digests(live(plan_with(digest_site(more), digest_rules), week_with_gap(0))).front(),
            "Not watched, for it has no source of readings: Spare tire, Spare tire. "
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

}  // namespace
}  // namespace overwinter
