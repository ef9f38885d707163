// What a notice says, in which order and how shortly. The wording is our own choice; no source but where one is named.
#include <gtest/gtest.h>

#include "daemon/notice_text.h"
#include "daemon/notices.h"
#include "rules/engine/alarm.h"
#include "tests/daemon/notices_site.h"

namespace overwinter {
namespace {

TEST(NoticeText, ATitleHasAtMostFiftyCharacters) {
  EXPECT_EQ(shortened("Left front tire is losing air", 50), "Left front tire is losing air");
  EXPECT_EQ(shortened("The hatch over the bed in the rear of the camper is open", 50),
            "The hatch over the bed in the rear of the camper…");
  EXPECT_EQ(shortened(std::string(50, 'x'), 50), std::string(50, 'x'));
  EXPECT_EQ(shortened(std::string(51, 'x'), 50), std::string(49, 'x') + "…");
  EXPECT_EQ(shortened("àéîõüàéîõü", 10), "àéîõüàéîõü");  // characters, not bytes
  EXPECT_EQ(shortened("àéîõüàéîõüa", 10), "àéîõüàéîõ…");
}

TEST(NoticeWords, ALongNameMakesNoLongTitle) {
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
TEST(NoticeWords, TheMessageTellsFindingThenDeedWithItsDateThenSource) {
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

TEST(NoticeWords, ARuleThatSaysWhatToDoInItsResponseIsToldWithItsFirstSentenceAndTheDate) {
  const Notice notice =
      notice_of_soft_tire(plan_of_files(std::string(tire_site) + "rules_from: [rules.yaml]\n", own_tire_rule));
  EXPECT_TRUE(notice.message.ends_with(" psi expected. Gauge it by hand by Sat Dec 5. (sensor, just now)"))
      << notice.message;
}

// A name of a person's own, or a sentence that does not end: a phone shows 120 characters (ours; no source). The
// alarm's topic has it all.
TEST(NoticeWords, AFirstSentenceThatIsTooLongIsCutAtAWord) {
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
TEST(NoticeWords, AllSensorsThatAreSilentByThenAreNamed) {
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

// The number that it was told by is not known any more: its words stand as they were told, and the silence has its own.
TEST(NoticeWords, AnAlarmWhoseSensorFellSilentKeepsItsWords) {
  const auto plan = plan_of_files(R"(
site: {id: alder_bend, name: Alder Bend, local_time: America/Winnipeg}
places: {outdoors: {temperature: {topic: yard, unit: degC}}}
gear:
  house: {kind: lead_acid_battery, place: outdoors, capacity: 85 Ah, charger: {current: 5 A}, voltage: {topic: volts, unit: V}}
rules_from: [standard]
digest: {enabled: false}
)",
                                  "rules: {}\n");
  Household house(plan, "12-01 00:00");
  for (const std::string_view day : {"12-01", "12-02"}) {
    for (int hour = 1; hour < 24; ++hour) {
      const std::string at = std::string(day) + (hour < 10 ? " 0" : " ") + std::to_string(hour);
      house.hear(at + ":00", "yard", "7");
      if (day == "12-01") house.hear(at + ":01", "volts", "12.20");
    }
  }
  const auto& alarms = house.world().alarms;
  const std::uint32_t recharge = find_alarm(*plan, "battery_recharge", "house");
  const std::uint32_t silent = find_alarm(*plan, "sensor_silent", "house");
  ASSERT_TRUE(alarms[recharge].active() && alarms[silent].active());
  const std::string& text = alarms[recharge].message;
  EXPECT_NE(text.find(" % charged, "), std::string::npos) << text;
  EXPECT_NE(text.find("Charging takes "), std::string::npos) << text;
  EXPECT_EQ(text.find("unknown"), std::string::npos) << text;
  EXPECT_EQ(text.find("last heard"), std::string::npos) << text;
}

// A repeat has the words of the alarm; that nobody knows any more whether they hold is in words, too.
TEST(NoticeWords, ARepeatSaysSinceWhenNobodyKnowsWhetherItHolds) {
  const auto plan = plan_of_files(R"(
site: {id: alder_bend, name: Alder Bend, local_time: America/Winnipeg}
places: {camper: {temperature: {topic: t, unit: degC}}}
rules_from: [rules.yaml]
digest: {enabled: false}
)",
                                  R"(
rules:
  frost: {applies_to: {place: camper}, raise_when: temperature < 0 degC, priority: critical, title: Frost, message: "{temperature}.", response: Heat it.}
)");
  Household house(plan, "12-01 16:00");
  house.hear("12-01 16:00", "t", "-3");
  house.hear("12-01 16:10", "t", "-4");
  house.wait_until("12-01 21:00");
  EXPECT_EQ(house.last().event, "repeated");
  EXPECT_EQ(house.last().message.find("nobody knows"), std::string::npos) << house.last().message;
  house.wait_until("12-02 21:00");
  EXPECT_EQ(house.last().event, "repeated");
  EXPECT_EQ(house.last().evidence, "stale");
  EXPECT_NE(house.last().message.find(" Heat it. Since Tue 1 Dec 16:10 nobody knows whether it still holds."),
            std::string::npos)
      << house.last().message;
}

// Whoever looks at `event` alone must not take what began for over.
TEST(NoticeWords, OfSeveralThingsWhatIsOverStandsLast) {
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
TEST(NoticeWords, WhatMustNotBeDoneIsInTheSentenceThatIsTold) {
  const auto plan = plan_of_files(std::string(tire_site) + R"(
  house_battery: {kind: lead_acid_battery, place: outdoors, capacity: 85 Ah, voltage: {topic: volts, unit: V}}
)",
                                  "rules: {}\n");
  const auto told = [&](const char* name) {
    const auto rule = std::ranges::find(plan->rules, name, &RuleSpec::name);
    return rule == plan->rules.end() ? std::string() : first_sentence(rule->response);
  };
  EXPECT_TRUE(told("battery_recharge").starts_with("Ventilate, keep sparks and flames away, protect your eyes"));
  EXPECT_TRUE(told("battery_recharge").ends_with("charge it unless it may be frozen or is swollen."));
  EXPECT_TRUE(told("charger_failed").starts_with("Ventilate, keep sparks and flames away, protect your eyes"));
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

TEST(NoticeWords, AResponseAndItsDateAreEachToldWithoutTheOther) {
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

TEST(NoticeText, ASentenceEndsAtAMarkBeforeACapitalLetter) {
  EXPECT_EQ(first_sentence("Gauge it by hand. Soap the valve."), "Gauge it by hand.");
  EXPECT_EQ(first_sentence("Gauge it by hand.\nSoap the valve."), "Gauge it by hand.");
  EXPECT_EQ(first_sentence("Gauge it by hand"), "Gauge it by hand.");
  EXPECT_EQ(first_sentence("Go out! Touch no switch."), "Go out!");
  EXPECT_EQ(first_sentence("Charge it above 12.45 V, e.g. to min. 80 %. Écoutez."),
            "Charge it above 12.45 V, e.g. to min. 80 %.");
  EXPECT_EQ(first_sentence(" \n"), "");
  EXPECT_EQ(first_sentence(""), "");
}

TEST(NoticeText, AFirstSentenceIsCutAndTheRestStays) {
  EXPECT_EQ(with_short_first_sentence("Gauge it by hand. Soap the valve.", 17), "Gauge it by hand. Soap the valve.");
  EXPECT_EQ(with_short_first_sentence("Gauge it by hand. Soap the valve.", 16), "Gauge it by… Soap the valve.");
  EXPECT_EQ(with_short_first_sentence("Gauge it by hand", 8), "Gauge…");
  EXPECT_EQ(with_short_first_sentence("", 8), "");
}

TEST(NoticeWords, AHandReadingIsItsOwnSourceBesideAFreshThermometer) {
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

TEST(NoticeWords, ADeadlineThatIsNearHasATimeOfDayAndOneThatIsOverSaysSo) {
  Household house = at("12-01 16:00");
  house.hear("12-02 16:00", "shutter", "open");
  EXPECT_EQ(house.last().message, "Shut it. Respond by Wed Dec 2 13:00. (sensor, just now)");
  EXPECT_EQ(house.last().respond_by, utc("12-02 19:00"));
}

TEST(NoticeWords, JsonHasTheKeysInTheirOrderAndLeavesOutWhatDoesNotApply) {
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
