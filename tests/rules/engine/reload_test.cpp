// A changed site file: state is kept by (rule, gear) and (gear, quantity), `was` carries it over a new name, what is
// gone ends with its reason, and another topic is another series.
#include <gtest/gtest.h>

#include <algorithm>

#include "rules/engine/engine.h"
#include "rules/engine/world.h"
#include "tests/rules/engine/lived.h"
#include "tests/rules/engine/story.h"

namespace overwinter {
namespace {

const std::set<std::string_view> all_of_reload{"camper_cold", "camper_freezing", "sensor_silent", "sensor_back",
                                               "sensor_stuck"};

std::shared_ptr<const Plan> reload_site(const std::string& reload_camper, const std::string& rules) {
  return plan_of("places:\n  outdoors: {temperature: {topic: yard, unit: degC}}\n" + reload_camper +
                     "rules_from: [standard, rules.yaml]\n",
                 rules);
}

const std::string reload_camper = "  camper: {temperature: {topic: camper, unit: degC}}\n";
const std::string moved_topic = "  camper: {temperature: {topic: camper/new, unit: degC}}\n";
const std::string van = "  van: {was: camper, temperature: {topic: camper, unit: degC}}\n";

std::string rule(const std::string& name, const std::string& place, int below, const std::string& more = {}) {
  return "rules:\n  " + name + ": {applies_to: {place: " + place + "}, raise_when: temperature < " +
         std::to_string(below) + " degC, message: Cold." + more + "}\n";
}

TEST(Reload, OfTheSameFileChangesNothing) {
  const auto plan = reload_site(reload_camper, rule("camper_cold", "camper", 0));
  EXPECT_EQ(told_over_reload(plan, plan, R"(
    12-01 00:00 camper -5
    12-01 00:00 yard 5
    ---
    12-01 00:10 camper -5
    12-01 00:20 camper 5
  )",
                             all_of_reload),
            lines_of(R"(
    12-01 00:10:00 alarm_raised camper_cold camper
    12-01 00:20:00 alarm_cleared camper_cold camper
  )"));
}

TEST(Reload, WithoutTheRuleEndsItsAlarm) {
  EXPECT_EQ(told_over_reload(reload_site(reload_camper, rule("camper_cold", "camper", 0)),
                             reload_site(reload_camper, rule("other", "camper", -50)), R"(
    12-01 00:00 camper -5
    12-01 00:10 camper -5
    ---
    12-01 00:20 yard 5
  )",
                             all_of_reload),
            lines_of(R"(
    12-01 00:10:00 alarm_raised camper_cold camper
    12-01 00:10:00 alarm_cleared camper_cold camper: rule_removed
  )"));
}

TEST(Reload, WithoutTheGearEndsItsAlarm) {
  const std::string van_alone = "  van: {temperature: {topic: camper, unit: degC}}\n";
  EXPECT_EQ(told_over_reload(reload_site(reload_camper, rule("camper_cold", "camper", 0)),
                             reload_site(van_alone, rule("other", "van", -50)), R"(
    12-01 00:00 camper -5
    12-01 00:10 camper -5
    ---
    12-01 00:20 yard 5
  )",
                             all_of_reload),
            lines_of(R"(
    12-01 00:10:00 alarm_raised camper_cold camper
    12-01 00:10:00 alarm_cleared camper_cold camper: gear_removed
  )"));
}

TEST(Reload, CarriesTheAlarmOverANewNameOfGearAndRule) {
  EXPECT_EQ(told_over_reload(reload_site(reload_camper, rule("camper_cold", "camper", 0)),
                             reload_site(van, rule("camper_freezing", "van", 0, ", was: camper_cold")), R"(
    12-01 00:00 camper -5
    12-01 00:10 camper -5
    ---
    12-01 00:20 camper -5
    12-01 00:30 camper 5
  )",
                             all_of_reload),
            lines_of(R"(
    12-01 00:10:00 alarm_raised camper_cold camper
    12-01 00:30:00 alarm_cleared camper_freezing van
  )"));
}

// The answer names the alarm as its retained topic does.
TEST(Reload, SaysWhatStandsByTheNewName) {
  const auto site = [](const std::string& place, const std::string& name) {
    return plan_with(
        "site: {id: alder_bend, local_time: UTC}\nplaces:\n" + place + "rules_from: [rules.yaml]\n",
        "rules:\n  cold: {applies_to: {place: " + name +
            "}, raise_when: temperature < 0 degC, off_delay: 1 h, title: \"{name} is cold\", message: m}\n");
  };
  const Lived lived =
      live_through_restart(site(reload_camper, "camper"),
                           {{"2026-12-01T00:00:00Z", "camper", "-5"},
                            {"2026-12-01T00:10:00Z", "camper", "-5"},
                            {"2026-12-01T00:30:00Z", "camper", "-5"},
                            command("2026-12-01T00:40:00Z", "acknowledge", R"({"rule":"cold","gear":"van"})")},
                           "2026-12-01T00:20:00Z", site(van, "van"));
  ASSERT_EQ(lived.answers.size(), 1U);
  EXPECT_EQ(lived.answers[0].answer, "Acknowledged: Van is cold.");
}

TEST(Reload, SaysWhatStandsByANewNameOfTheSameId) {
  const auto site = [](const std::string& name) {
    return plan_with(
        "site: {id: alder_bend, local_time: UTC}\nseason: {lay_up: 2026-10-01}\nplaces:\n  camper: {name: " + name +
            ", temperature: {topic: camper, unit: degC}}\nrules_from: [rules.yaml]\n",
        "rules:\n  cold: {applies_to: {place: camper}, raise_when: temperature < 0 degC, title: Cold, "
        "message: \"{name} is cold\"}\n"
        "reminders:\n  look: {applies_to: {place: camper}, every: 7 d, message: \"Look at {name}.\"}\n");
  };
  Engine before(site("Trailer"), *parse_rfc3339("2026-12-01T00:00:00Z"));
  const auto hear = [](Engine& engine, const char* at) {
    engine.step({*parse_rfc3339(at), SensorMessage{{{0, -5, *parse_rfc3339(at), false, nullptr}}, false}});
  };
  hear(before, "2026-12-01T00:00:00Z");
  hear(before, "2026-12-01T00:10:00Z");
  ASSERT_EQ(before.world().alarms[0].message, "Trailer is cold");
  ASSERT_EQ(before.world().reminders[0].message, "Look at Trailer.");
  Engine after = *Engine::restore(site("Van"), before.snapshot());
  after = *Engine::restore(site("Van"), after.snapshot());  // killed before its first step
  hear(after, "2026-12-01T00:20:00Z");
  EXPECT_EQ(after.world().alarms[0].message, "Van is cold");
  EXPECT_EQ(after.world().reminders[0].message, "Look at Van.");
}

// A command that waited in the journal over the edit, and a button under a notice of the day before.
TEST(Reload, ACommandStillNamesGearRulesAndRemindersByTheirFormerNames) {
  const auto site = [](const std::string& place, const std::string& name, const std::string& was) {
    const std::string about = "applies_to: {place: " + name + "}, message: m, ";
    return plan_with("site: {id: alder_bend, local_time: UTC}\nseason: {lay_up: 2026-10-01}\nplaces:\n" + place +
                         "rules_from: [rules.yaml]\n",
                     std::string("rules:\n  ") + (was.empty() ? "cold: {" : "chilly: {was: cold, ") + about +
                         "raise_when: temperature < 0 degC}\n" + "reminders:\n  " +
                         (was.empty() ? "look: {" : "see: {was: look, ") + about + "every: 7 d}\n");
  };
  const Lived lived = live_through_restart(
      site(reload_camper, "camper", {}),
      {{"2026-12-01T00:00:00Z", "camper", "-5"},
       {"2026-12-01T00:10:00Z", "camper", "-5"},
       {"2026-12-01T00:30:00Z", "camper", "-5"},
       command("2026-12-01T00:40:00Z", "acknowledge", R"({"rule":"cold","gear":"camper"})"),
       command("2026-12-01T00:41:00Z", "record", R"({"gear":"camper","quantity":"temperature","value":"-4 degC"})"),
       command("2026-12-01T00:42:00Z", "done", R"({"reminder":"look","gear":"camper"})"),
       command("2026-12-01T00:43:00Z", "take_out", R"({"gear":"camper"})"),
       command("2026-12-01T00:44:00Z", "put_back", R"({"gear":"tent"})")},
      "2026-12-01T00:20:00Z", site(van, "van", "camper"));
  ASSERT_EQ(lived.answers.size(), 5U);
  for (std::size_t i = 0; i < 4; ++i) EXPECT_TRUE(lived.answers[i].accepted) << lived.answers[i].answer;
  EXPECT_EQ(lived.answers[4].why, "there is no gear or place 'tent'; there are alder_bend, van and outdoors");
}

// One rule and one reminder of two doors, each split into one of its own: a former name is that of the gear beside it.
TEST(Reload, ACommandNamesByTheirFormerNameThePartsThatARuleWasSplitInto) {
  const auto site = [](const std::string& rules, const std::string& reminders) {
    return plan_of("places:\n" + reload_camper +
                       "gear:\n  hatch: {kind: door_or_vent, place: camper, open: {topic: hatch}}\n"
                       "  vent: {kind: door_or_vent, place: camper, open: {topic: vent}}\nrules_from: [rules.yaml]\n",
                   "rules:\n" + rules + "reminders:\n" + reminders);
  };
  const auto rule = [](const std::string& name, const std::string& about) {
    return "  " + name + "applies_to: {" + about + "}, raise_when: open, message: m}\n";
  };
  const auto reminder = [](const std::string& name, const std::string& about) {
    return "  " + name + "applies_to: {" + about + "}, every: 7 d, message: m}\n";
  };
  const std::string both = "kind: door_or_vent", hatch = "gear: hatch", vent = "gear: vent";
  const std::string acknowledged = R"({"rule":"ajar","gear":"vent"})", done = R"({"reminder":"look","gear":"vent"})";
  const std::vector<Mail> mail = {
      {"2026-12-01T00:00:00Z", "vent", "on"},
      command("2026-12-01T00:40:00Z", "acknowledge", acknowledged),
      command("2026-12-01T00:41:00Z", "done", done),
      command("2026-12-01T00:42:00Z", "done", R"({"reminder":"look"})"),
  };
  const auto before = site(rule("ajar: {", both), reminder("look: {", both));
  const auto split =
      live_through_restart(before, mail, "2026-12-01T00:20:00Z",
                           site(rule("hatch_ajar: {was: ajar, ", hatch) + rule("up: {was: ajar, ", vent),
                                reminder("see: {was: look, ", hatch) + reminder("look_up: {was: look, ", vent)));
  EXPECT_EQ(told(split, {EventKind::alarm_acknowledged, EventKind::reminder_done}),
            std::vector<std::string>(
                {"2026-12-01T00:40:00Z alarm_acknowledged up", "2026-12-01T00:41:00Z reminder_done look_up"}));
  EXPECT_EQ(refusals(split), std::vector<std::string>{"'gear' is missing; the reminder 'look' is about: hatch, vent"});
  // What is left of the former one keeps its name.
  const auto parted = live_through_restart(before, mail, "2026-12-01T00:20:00Z",
                                           site(rule("ajar: {", hatch) + rule("up: {was: ajar, ", vent),
                                                reminder("look: {", hatch) + reminder("look_up: {was: look, ", vent)));
  EXPECT_EQ(told(parted, {EventKind::alarm_acknowledged, EventKind::reminder_done}),
            std::vector<std::string>({"2026-12-01T00:40:00Z alarm_acknowledged up",
                                      "2026-12-01T00:41:00Z reminder_done look_up",
                                      "2026-12-01T00:42:00Z reminder_done look"}));
}

TEST(Reload, OfAChangedConditionIsEvaluatedAtOnce) {
  EXPECT_EQ(told_over_reload(reload_site(reload_camper, rule("camper_cold", "camper", 0)),
                             reload_site(reload_camper, rule("camper_cold", "camper", -10)), R"(
    12-01 00:00 camper -5
    12-01 00:10 camper -5
    ---
    12-01 00:20 yard 5
  )",
                             all_of_reload),
            lines_of(R"(
    12-01 00:10:00 alarm_raised camper_cold camper
    12-01 00:10:00 alarm_cleared camper_cold camper
  )"));
}

TEST(Reload, OfAChangedTopicStartsANewSeries) {
  EXPECT_EQ(told_over_reload(reload_site(reload_camper, rule("camper_cold", "camper", 0)),
                             reload_site(moved_topic, rule("camper_cold", "camper", 0)), R"(
    12-01 00:00 camper 5
    12-01 00:00 yard 5
    12-01 00:10 camper 5
    ---
    12-01 00:20 camper/new -5
    12-01 00:30 camper -5
    12-01 00:40 camper/new -5
  )",
                             all_of_reload),
            lines_of(R"(
    12-01 00:40:00 alarm_raised camper_cold camper
  )"));
}

TEST(Reload, OfTheTopicOfASilentSensorEndsItsSilence) {
  const auto before = reload_site(reload_camper, rule("camper_cold", "camper", 0));
  const auto after = reload_site(moved_topic, rule("camper_cold", "camper", 0));
  EXPECT_EQ(told_over_reload(before, after, R"(
    12-01 00:00 camper 5
    12-01 05:00 yard 5
    12-01 07:00 yard 5
    ---
    12-01 07:01 camper/new 5
    12-01 08:00 yard 5
  )",
                             all_of_reload),
            lines_of(R"(
    12-01 06:00:00 sensor_silent camper temperature
    12-01 06:00:00 alarm_raised sensor_silent camper
    12-01 07:10:00 alarm_cleared sensor_silent camper
  )"));
}

TEST(Reload, OfTheTopicKeepsWhatAPersonMeasured) {
  EXPECT_EQ(told_over_reload(reload_site(reload_camper, rule("other", "camper", -50)),
                             reload_site(moved_topic, rule("camper_cold", "camper", 0)), R"(
    12-01 00:00 yard 5
    12-01 00:10 do/record {"gear":"camper","quantity":"temperature","value":"-5 degC"}
    ---
    12-01 00:20 yard 5
  )",
                             {"camper_cold"}),
            lines_of(R"(
    12-01 00:10:00 alarm_raised camper_cold camper
  )"));
}

TEST(Reload, GivesANewSensorAFreshStaleAfter) {
  const std::string garage = "  garage: {temperature: {topic: garage, unit: degC}}\n";
  EXPECT_EQ(told_over_reload(reload_site(reload_camper, rule("other", "camper", -50)),
                             reload_site(reload_camper + garage, rule("other", "camper", -50)), R"(
    12-01 00:00 camper 5
    12-01 00:00 yard 5
    12-01 05:00 camper 5
    12-01 05:00 yard 5
    ---
    12-01 10:00 camper 5
    12-01 10:00 yard 5
    12-01 11:00 nobody 5
  )",
                             all_of_reload),
            lines_of(R"(
    12-01 11:00:00 sensor_silent garage temperature
    12-01 11:00:00 alarm_raised sensor_silent garage
  )"));
}

// Draining the water last year is no draining of it this year.
TEST(Reload, OfTheDateOfAnotherYearAsksAgain) {
  const auto of = [](std::string_view date) {
    return plan_of(camper_with_hatch,
                   "reminders:\n  drain: {date: " + std::string(date) + ", message: Drain the water.}\n");
  };
  const auto days = [&](std::string_view date) {
    return told_over_reload(of("2026-09-01"), of(date), R"(
      08-30 12:00 do/done {"reminder":"drain"}
      ---
      09-02 12:00 yard 5
      03-20 12:00 yard 5
      03-22 12:00 yard 5
    )",
                            {"reminder_due", "reminder_done"});
  };
  EXPECT_EQ(days("2027-03-21").find("reminder_due"), days("2027-03-21").rfind("reminder_due"));
  EXPECT_NE(days("2027-03-21").find("03-21 13:00:00 reminder_due"), std::string::npos) << days("2027-03-21");
  EXPECT_EQ(days("2026-09-08").find("reminder_due"), std::string::npos) << "it was done early, and was put off";
}

TEST(Reload, WithADigestOnAnotherDayTellsItOnThatDay) {
  const auto of = [](std::string_view digest) {
    return plan_of(std::string(thermometers) + "digest: " + std::string(digest) + "\n");
  };
  const auto days = [&](std::string_view before, std::string_view after) {
    return told_over_reload(of(before), of(after), R"(
      12-01 12:00 yard 5
      12-02 12:00 yard 5
      ---
      12-02 12:05 yard 5
      12-10 12:00 yard 5
    )",
                            {"digest"});
  };
  // 2 December 2026 is a Wednesday, the 3rd a Thursday, the 6th a Sunday; six in the evening there is midnight UTC.
  EXPECT_EQ(days("{enabled: false}", "{enabled: true}"), days("{enabled: true}", "{enabled: true}"));
  EXPECT_NE(days("{enabled: true}", "{day: thursday}").find("12-04 00:00:00 digest"), std::string::npos)
      << days("{enabled: true}", "{day: thursday}");
}

std::shared_ptr<const Plan> watched_by(const std::string& tire_sensor, const std::string& thermometer,
                                       const std::string& below, const std::string& rules_of_site) {
  return plan_with(
      "site: {id: alder_bend, local_time: UTC}\nseason: {lay_up: 2026-10-01}\nplaces:\n"
      "  outdoors: {temperature: {topic: yard, unit: degC}}\n  camper: {temperature: " +
          thermometer +
          "}\ngear:\n  tire:\n    kind: tire\n    place: outdoors\n    filled: {pressure: 50 psi, temperature: 0 degC, "
          "date: 2026-11-01}\n    pressure: " +
          tire_sensor + "\n" + rules_of_site,
      "rules:\n  sinks: {applies_to: {place: camper}, raise_when: \"change(temperature, 6 h) < -5 K\", off_delay: 1 h, "
      "message: m}\n  rises:\n    applies_to: {place: camper}\n    with: {below: " +
          below +
          "}\n    raise_when: \"change(temperature - below, 6 h) > 5 K\"\n    off_delay: 1 h\n    message: m\n");
}

const std::string rules_alone = "rules_from: [rules.yaml]\n";

std::vector<std::string> told_of_rules(const Lived& lived) {
  std::vector<std::string> out;
  for (const Event& e : lived.events) {
    if (e.kind == EventKind::alarm_raised) out.push_back(format_rfc3339(e.at) + " " + e.rule);
  }
  return out;
}

// Of another sensor's readings a window knows nothing: no fall from one thermometer to the next.
TEST(Reload, OfTheTopicBeginsTheWindowsOfConditionsAnew) {
  const auto mail = together({hourly("a", "2026-12-01T00:00:00Z", 24, [](int) { return 20.0; }),
                              hourly("b", "2026-12-02T00:00:00Z", 24, [](int i) { return i < 12 ? 5.0 : -5.0; })});
  EXPECT_EQ(told_of_rules(live_through_restart(
                watched_by("by_hand", "{topic: a, unit: degC}", "-50 degC", rules_alone), mail, "2026-12-01T23:30:00Z",
                watched_by("by_hand", "{topic: b, unit: degC}", "-50 degC", rules_alone))),
            std::vector<std::string>({"2026-12-02T13:00:00Z sinks"}));
}

// What a person read before the former sensor spoke last is overtaken and speaks for no present, however often the
// topic moves; what was read since does.
TEST(Reload, OfTheTopicMakesNoHandReadingCurrentThatItsSensorHadOvertaken) {
  const auto site = [](const std::string& topic) {
    return plan_of("places:\n  outdoors: {temperature: {topic: yard, unit: degC}}\n  camper: {temperature: {topic: " +
                       topic + ", unit: degC}}\nrules_from: [rules.yaml]\n",
                   rule("camper_cold", "camper", 0));
  };
  const auto raised = [&](const char* at) {
    std::vector<Mail> mail = hourly("a", "2026-12-01T00:00:00Z", 24, [](int i) { return 5 + i % 2; });
    mail.push_back(command(at, "record", R"({"gear":"camper","quantity":"temperature","value":"-5 degC"})"));
    mail.push_back({"2026-12-02T00:00:00Z", "yard", "5"});
    return told_of_rules(live_through_restart(site("a"), together({mail}), "2026-12-01T23:45:00Z", site("b")));
  };
  EXPECT_EQ(raised("2026-12-01T03:30:00Z"), std::vector<std::string>());
  EXPECT_EQ(raised("2026-12-01T23:30:00Z"), std::vector<std::string>{"2026-12-01T23:30:00Z camper_cold"});
}

// What a person read is compared on under a new sensor, and anew where the site file tells of other work: a fill put
// right, a charge of the evening.
TEST(Reload, ComparesAHandReadingWithWhatTheNewSiteFileTellsOfTheGear) {
  const auto site = [](const std::string& gear) {
    return plan_of(
        "places: {outdoors: {temperature: {topic: yard, unit: degC}}}\ngear:\n  it: {place: outdoors, " + gear +
            "}\nrules_from: [rules.yaml]\n",
        "rules:\n  low: {applies_to: {kind: tire}, raise_when: pressure.deviation < -3 psi, message: m}\n"
        "  judged: {applies_to: {kind: tire}, raise_when: known(pressure.deviation), message: m}\n"
        "  charge_known: {applies_to: {kind: lead_acid_battery}, raise_when: known(voltage.deviation), message: m}\n");
  };
  const auto tire = [&](const std::string& pressure, const std::string& filled) {
    return site("kind: tire, pressure: " + pressure + ", filled: {pressure: " + filled +
                ", temperature: 5 degC, date: 2026-11-30}");
  };
  const auto battery = [&](const std::string& charged) {
    return site("kind: lead_acid_battery, chemistry: flooded, voltage: by_hand, charged: {date: " + charged + "}");
  };
  const auto told_of = [](const std::shared_ptr<const Plan>& before, const std::shared_ptr<const Plan>& then,
                          int by_sensor, const std::string& read) {
    return told(live_through_restart(
                    before,
                    together({hourly("yard", "2026-12-01T00:00:00Z", 24, [](int) { return 5; }),
                              hourly("a", "2026-12-01T00:00:00Z", by_sensor, [](int i) { return 52 + 0.1 * (i % 2); }),
                              {command("2026-12-01T18:10:00Z", "record", R"({"gear":"it",)" + read + "}")}}),
                    "2026-12-01T20:30:00Z", then),
                {EventKind::alarm_raised, EventKind::alarm_cleared});
  };
  using Lines = std::vector<std::string>;
  const std::string a = "{topic: a, unit: psi}", b = "{topic: b, unit: psi}";
  const std::string gauged_low = R"("quantity":"pressure","value":"45 psi")";
  EXPECT_EQ(told_of(tire("by_hand", "52 psi"), tire(a, "52 psi"), 0, gauged_low),
            (Lines{"2026-12-01T18:10:00Z alarm_raised low", "2026-12-01T18:10:00Z alarm_raised judged"}));
  EXPECT_EQ(told_of(tire(a, "52 psi"), tire(b, "52 psi"), 18, gauged_low),
            (Lines{"2026-12-01T01:00:00Z alarm_raised judged", "2026-12-01T20:00:00Z alarm_raised low"}));
  EXPECT_EQ(told_of(tire("by_hand", "52 psi"), tire("by_hand", "45 psi"), 0, gauged_low),
            (Lines{"2026-12-01T18:10:00Z alarm_raised low", "2026-12-01T18:10:00Z alarm_raised judged",
                   "2026-12-01T21:00:00Z alarm_cleared low"}));
  EXPECT_EQ(
      told_of(battery("2026-11-01"), battery("2026-12-01T20:00:00Z"), 0, R"("quantity":"voltage","value":"12.4 V")"),
      (Lines{"2026-12-01T18:10:00Z alarm_raised charge_known", "2026-12-01T21:00:00Z alarm_cleared charge_known"}));
}

// Another topic on Saturday, and the week was watched all the same.
TEST(Reload, OfTheTopicTakesNothingFromTheShareOfTheWeekThatWasSeen) {
  const auto site = [](const std::string& topic) {
    return plan_of("places:\n  outdoors: {temperature: {topic: yard, unit: degC}}\n  camper: {temperature: {topic: " +
                       topic + ", unit: degC}}\nrules_from: [rules.yaml]\n",
                   rule("camper_cold", "camper", -50));
  };
  const auto mild = [](int) { return 5.0; };
  const auto seen = digests(live_through_restart(
      site("a"),
      together({hourly("yard", "2026-11-22T00:00:00Z", 24 * 16, mild),
                hourly("a", "2026-11-22T00:00:00Z", 24 * 13, mild), hourly("b", "2026-12-05T00:00:00Z", 24 * 3, mild)}),
      "2026-12-04T23:30:00Z", site("b")));
  ASSERT_EQ(seen.size(), 3U);
  EXPECT_EQ(seen[2], "All is well. 1 thing was watched for at least 99 % of the week.");
}

TEST(Reload, OfTheUnitStartsANewSeries) {
  const auto mail = hourly("a", "2026-12-01T00:00:00Z", 48, [](int) { return 20.0; });
  EXPECT_EQ(told_of_rules(live_through_restart(
                watched_by("by_hand", "{topic: a, unit: degC}", "-50 degC", rules_alone), mail, "2026-12-01T23:30:00Z",
                watched_by("by_hand", "{topic: a, unit: degF}", "-50 degC", rules_alone))),
            std::vector<std::string>());
}

// A door that stood open under its former switch, and is open under the new one, was perhaps never closed: what stands
// is not over. Once it was seen closed it is.
TEST(Reload, OfTheTopicLeavesWhatWasHeldForLongToStand) {
  const auto site = [](const std::string& topic) {
    return plan_of("places:\n  outdoors: {temperature: {topic: yard, unit: degC}}\n" + reload_camper +
                       "gear:\n  hatch: {kind: door_or_vent, place: camper, should_be: closed, open: {topic: " + topic +
                       "}}\nrules_from: [rules.yaml]\n",
                   "rules:\n"
                   "  ajar: {applies_to: {gear: hatch}, raise_when: \"held_for(open, 30 min)\", message: m}\n"
                   "  shut: {applies_to: {gear: hatch}, raise_when: \"not held_for(open, 30 min)\", message: m}\n");
  };
  EXPECT_EQ(told_over_reload(site("a"), site("b"), R"(
    12-01 00:00 a on
    12-01 00:40 a on
    ---
    12-01 00:41 b on
    12-01 00:50 b on
    12-01 01:20 b on
    12-01 01:30 b off
    12-01 01:31 b on
  )",
                             {"ajar", "shut"}),
            lines_of(R"(
    12-01 00:00:00 alarm_raised shut hatch
    12-01 00:30:00 alarm_raised ajar hatch
    12-01 00:30:00 alarm_cleared shut hatch
    12-01 01:30:00 alarm_cleared ajar hatch
    12-01 01:30:00 alarm_raised shut hatch
  )"));
}

// So does another length of the window, where it is a number of `with`: half an hour was long enough, and is not six.
TEST(Reload, OfTheLengthOfAWindowBeginsItAnew) {
  const auto site = [](const std::string& lasts) {
    return plan_of("places:\n  outdoors: {temperature: {topic: yard, unit: degC}}\n" + reload_camper +
                       "gear:\n  hatch: {kind: door_or_vent, place: camper, should_be: closed, open: {topic: a}}\n"
                       "rules_from: [rules.yaml]\n",
                   "rules:\n  ajar: {applies_to: {gear: hatch}, with: {lasts: " + lasts +
                       "}, raise_when: \"held_for(open, lasts)\", on_delay: 1 h, message: m}\n");
  };
  EXPECT_EQ(told_over_reload(site("30 min"), site("6 h"), R"(
    12-01 00:00 a on
    12-01 00:40 a on
    ---
    12-01 00:41 a on
    12-01 02:00 a on
    12-01 08:00 a on
  )",
                             {"ajar"}),
            lines_of(R"(
    12-01 07:40:00 alarm_raised ajar hatch
  )"));
}

// What moved is the number, and not what is read.
TEST(Reload, OfANumberBeginsTheWindowsOfItsConditionAnew) {
  const auto mail = hourly("a", "2026-12-01T00:00:00Z", 24, [](int) { return 20.0; });
  EXPECT_EQ(told_of_rules(live_through_restart(
                watched_by("by_hand", "{topic: a, unit: degC}", "20 degC", rules_alone), mail, "2026-12-01T12:30:00Z",
                watched_by("by_hand", "{topic: a, unit: degC}", "10 degC", rules_alone))),
            std::vector<std::string>());
}

// A gauge that reads otherwise is no loss and no leak; from it on the trend begins anew.
TEST(Reload, OfTheTopicBeginsTheTrendOfATireAnew) {
  for (const double lower : {2.5, 8.0}) {
    const auto at_rest = [](double psi) { return [psi](int i) { return psi + (i % 2) * 0.1; }; };
    const auto mail = together({hourly("yard", "2026-12-01T00:00:00Z", 24 * 40, [](int) { return 0.0; }),
                                hourly("a", "2026-12-01T00:00:00Z", 24 * 20, at_rest(50)),
                                hourly("b", "2026-12-21T00:00:00Z", 24 * 20, at_rest(50 - lower))});
    const auto site = [](const std::string& topic) {
      return watched_by("{topic: " + topic + ", unit: psi}", "by_hand", "-50 degC", "rules_from: [standard]\n");
    };
    std::vector<std::string> expected;
    if (lower > 5) expected.push_back("2026-12-21T01:00:00Z tire_below_expected");
    EXPECT_EQ(told_of_rules(live_through_restart(site("a"), mail, "2026-12-20T23:30:00Z", site("b"))), expected);
  }
}

// A thermometer outdoors that was taken for one in degF: with its unit put right each tire without a thermometer of its
// own is known to be 17 K warmer, and has lost nothing.
TEST(Reload, OfThePlacesThermometerIsNoLossOfATire) {
  const auto site = [](const std::string& unit, const std::string& own) {
    return plan_with("site: {id: alder_bend, local_time: UTC}\nplaces: {outdoors: {temperature: {topic: yard, unit: " +
                     unit + "}}}\ngear:\n  tire: {kind: tire, place: outdoors, pressure: {topic: tire, unit: psi}" +
                     own + "}\nrules_from: [standard]\n");
  };
  const auto mail =
      together({hourly("yard", "2026-12-01T00:00:00Z", 24 * 20, [](int i) { return 5 + (i % 2) * 0.1; }),
                hourly("own", "2026-12-01T00:00:00Z", 24 * 20, [](int i) { return 5 + (i % 2) * 0.1; }),
                hourly("tire", "2026-12-01T00:00:00Z", 24 * 20, [](int i) { return i % 2 == 0 ? 50 : 50.1; })});
  for (const std::string own : {"", ", temperature: {topic: own, unit: degC}"}) {
    EXPECT_EQ(told_of_rules(live_through_restart(site("degF", own), mail, "2026-12-10T22:30:00Z", site("degC", own))),
              std::vector<std::string>());
  }
}

// Nor is its place put right, where that has another thermometer: it stood in the garage all the time.
TEST(Reload, OfThePlaceOfATireIsNoLoss) {
  const auto site = [](const std::string& place, const std::string& own) {
    return plan_with(
        "site: {id: alder_bend, local_time: UTC}\nplaces:\n"
        "  outdoors: {temperature: {topic: yard, unit: degC}}\n"
        "  garage: {temperature: {topic: garage, unit: degC}}\ngear:\n"
        "  tire: {kind: tire, place: " +
        place + ", pressure: {topic: tire, unit: psi}" + own + "}\nrules_from: [standard]\n");
  };
  const auto mail =
      together({hourly("yard", "2026-12-01T00:00:00Z", 24 * 20, [](int i) { return -20 + (i % 2) * 0.1; }),
                hourly("garage", "2026-12-01T00:00:00Z", 24 * 20, [](int i) { return 5 + (i % 2) * 0.1; }),
                hourly("own", "2026-12-01T00:00:00Z", 24 * 20, [](int i) { return 5 + (i % 2) * 0.1; }),
                hourly("tire", "2026-12-01T00:00:00Z", 24 * 20, [](int i) { return i % 2 == 0 ? 50 : 50.1; })});
  for (const std::string own : {"", ", temperature: {topic: own, unit: degC}"}) {
    EXPECT_EQ(
        told_of_rules(live_through_restart(site("outdoors", own), mail, "2026-12-10T22:30:00Z", site("garage", own))),
        std::vector<std::string>());
  }
}

// Nor is the altitude of the site, told late: its air is thinner by 3.8 psi (ISO 2533 at 2500 m: 74.68 kPa).
TEST(Reload, OfTheAltitudeIsNoLossOfATire) {
  const auto site = [](const std::string& altitude) {
    return plan_with(
        "site: {id: alder_bend, local_time: UTC" + altitude +
        "}\nplaces: {outdoors: {temperature: {topic: yard, unit: degC}}}\ngear:\n"
        "  tire: {kind: tire, place: outdoors, pressure: {topic: tire, unit: psi}, temperature: {topic: own, "
        "unit: degC}}\nrules_from: [standard]\n");
  };
  const auto mail =
      together({hourly("yard", "2026-12-01T00:00:00Z", 24 * 20, [](int i) { return 5 + (i % 2) * 0.1; }),
                hourly("own", "2026-12-01T00:00:00Z", 24 * 20, [](int i) { return 5 + (i % 2) * 0.1; }),
                hourly("tire", "2026-12-01T00:00:00Z", 24 * 20, [](int i) { return i % 2 == 0 ? 50 : 50.1; })});
  EXPECT_EQ(told_of_rules(live_through_restart(site(""), mail, "2026-12-10T22:30:00Z", site(", altitude: 2500 m"))),
            std::vector<std::string>());
}

// A tire that lost its air stays without it under any sensor. Its alarm ends where the new one reads what it should;
// where nobody told a fill no sensor can.
TEST(Reload, OfTheTopicEndsNoSuddenLoss) {
  const auto site = [](const std::string& topic, const std::string& fill) {
    return plan_with(
        "site: {id: alder_bend, local_time: UTC}\nplaces: {outdoors: {temperature: {topic: yard, unit: degC}}}\n"
        "gear:\n  tire: {kind: tire, place: outdoors, " +
        fill + "pressure: {topic: " + topic + ", unit: psi}}\nrules_from: [standard]\n");
  };
  const auto alarms = [&](const std::string& fill, double by_new) {
    const auto mail = together({hourly("yard", "2026-12-01T00:00:00Z", 24 * 20, [](int) { return 0.0; }),
                                hourly("a", "2026-12-01T00:00:00Z", 24, [](int i) { return i < 12 ? 50.0 : 20.0; }),
                                hourly("b", "2026-12-02T00:00:00Z", 24 * 19, [=](int) { return by_new; })});
    std::vector<std::string> out;
    for (const Event& e : live_through_restart(site("a", fill), mail, "2026-12-01T23:30:00Z", site("b", fill)).events) {
      const bool clears = e.kind == EventKind::alarm_cleared;
      if (e.rule != "tire_sudden_loss" || (!clears && e.kind != EventKind::alarm_raised)) continue;
      out.push_back(format_rfc3339(e.at) + (clears ? " cleared" : " raised"));
    }
    return out;
  };
  const std::string raised = "2026-12-01T13:00:00Z raised";
  const std::string fill = "filled: {pressure: 50 psi, temperature: 0 degC, date: 2026-11-01}, ";
  EXPECT_EQ(alarms(fill, 20), std::vector<std::string>({raised}));
  EXPECT_EQ(alarms(fill, 21.5), std::vector<std::string>({raised}));
  EXPECT_EQ(alarms(fill, 50), std::vector<std::string>({raised, "2026-12-02T01:00:00Z cleared"}));
  EXPECT_EQ(alarms({}, 20), std::vector<std::string>({raised}));
}

// A voltmeter that reads otherwise has charged nothing.
TEST(Reload, OfTheTopicBeginsTheTrendOfABatteryAnew) {
  const auto site = [](const std::string& topic) {
    return plan_with(
        "site: {id: alder_bend, local_time: UTC}\nplaces:\n  outdoors: {temperature: {topic: yard, unit: degC}}\n"
        "gear:\n  battery: {kind: lead_acid_battery, chemistry: flooded, capacity: 85 Ah, place: outdoors, charged: "
        "{date: 2026-11-01}, voltage: {topic: " +
        topic + ", unit: V}}\nrules_from: [standard]\n");
  };
  const auto mail = together({hourly("yard", "2026-12-01T00:00:00Z", 24 * 20, [](int) { return 20.0; }),
                              hourly("a", "2026-12-01T00:00:00Z", 24 * 10, [](int) { return 12.45; }),
                              hourly("b", "2026-12-11T00:00:00Z", 24 * 10, [](int) { return 12.65; })});
  const auto asked = [](const Lived& lived) {
    return std::ranges::count_if(digests(lived),
                                 [](const std::string& digest) { return digest.find("rose by") != std::string::npos; });
  };
  EXPECT_EQ(asked(live_through_restart(site("a"), mail, "2026-12-10T23:30:00Z", site("b"))), 0);
  std::vector<Mail> one_meter = mail;
  for (Mail& m : one_meter) m.topic = m.topic == "b" ? "a" : m.topic;
  EXPECT_EQ(asked(live(site("a"), one_meter)), 1);
}

}  // namespace
}  // namespace overwinter
