// Commands: what is carried out, what is refused, and whether the reason helps.
#include <gtest/gtest.h>

#include <fmt/format.h>

#include "tests/rules/engine/lived.h"

namespace overwinter {
namespace {

constexpr std::string_view command_site = R"(
site: {id: alder_bend, local_time: America/Winnipeg, display_units: us}
season: {lay_up: 2026-10-31, return_to_service: 2027-04-20}
places:
  outdoors: {temperature: {topic: yard, unit: degC}}
  camper: {temperature: {topic: camper, unit: degC}, humidity: by_hand}
gear:
  left_tire: {kind: tire, place: outdoors, pressure: by_hand, minimum_pressure: 40 psi,
              filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}}
  battery: {kind: lead_acid_battery, place: outdoors, voltage: by_hand}
  hatch: {kind: door_or_vent, place: camper, should_be: closed, open: by_hand}
  alarm_a: {kind: dated_item, place: camper, made: {date: 2026-01-01}, test_every: 30 d}
  alarm_b: {kind: dated_item, place: camper, made: {date: 2026-01-01}, test_every: 30 d}
)";

constexpr std::string_view noon = "2026-12-01T18:00:00Z";

std::shared_ptr<const Plan> plan() {
  static const auto loaded = plan_with(command_site, {});
  return loaded;
}

// The command alone, an hour after the yard was read.
Lived after(std::string_view name, std::string_view json, bool retained = false) {
  Mail mail = command(noon, name, json);
  mail.retained = retained;
  return live(plan(), {{"2026-12-01T17:00:00Z", "yard", "-10"}, mail});
}

void expect_refused(std::string_view name, std::string_view json, std::string_view because) {
  const auto why = refusals(after(name, json));
  ASSERT_EQ(why.size(), 1U) << name << ' ' << json;
  EXPECT_NE(why.front().find(because), std::string::npos) << json << ": " << why.front();
}

void expect_accepted(std::string_view name, std::string_view json) {
  const Lived lived = after(name, json);
  EXPECT_EQ(refusals(lived), std::vector<std::string>{}) << json;
  ASSERT_EQ(lived.answers.size(), 1U);
  EXPECT_TRUE(lived.answers.front().accepted);
}

TEST(Record, TakesTextWithItsUnitAWordOrABoolean) {
  expect_accepted("record", R"({"gear":"left_tire","quantity":"pressure","value":"48.5 psi"})");
  expect_accepted("record", R"({"gear":"left_tire","quantity":"pressure","value":"3.3 bar","by":"Ann","note":"cold"})");
  expect_accepted("record", R"({"gear":"hatch","quantity":"open","value":false})");
  expect_accepted("record", R"({"gear":"hatch","quantity":"open","value":"closed"})");
  expect_accepted("record", R"({"gear":"hatch","quantity":"open","value":"Shut"})");  // as of a sensor: in any case
  expect_accepted("record", R"({"gear":"hatch","quantity":"open","value":"0"})");     // and as a number
  expect_accepted("record", R"({"gear":"hatch","quantity":"open","value":1})");
  expect_refused("record", R"({"gear":"hatch","quantity":"open","value":2})", "must be yes or no");
  expect_accepted("record", R"({"gear":"camper","quantity":"temperature","value":"-3 degC"})");  // has a sensor as well
  expect_accepted("record", R"({"gear":"battery","quantity":"specific_gravity","value":1.26})");  // needs no unit
  expect_accepted("record", R"({"gear":"battery","quantity":"specific_gravity","value":"1.26"})");
}

TEST(Record, RefusesABareNumberAndNamesTheUnits) {
  for (const std::string_view value : {"48.5", "\"48.5\""}) {
    const std::string json = fmt::format(R"({{"gear":"left_tire","quantity":"pressure","value":{}}})", value);
    expect_refused("record", json, "psi");
    expect_refused("record", json, "kPa");
    expect_refused("record", json, "bar");
  }
  expect_refused("record", R"({"gear":"camper","quantity":"humidity","value":60})", "%");
  expect_refused("record", R"({"gear":"camper","quantity":"humidity","value":"60"})", "60 %");
}

TEST(Record, SaysWhatIsWrongWithAValue) {
  expect_refused("record", R"({"gear":"left_tire","quantity":"pressure","value":"48 degF"})", "is a temperature");
  expect_refused("record", R"({"gear":"left_tire","quantity":"pressure","value":"48 psj"})", "did you mean `psi`");
  expect_refused("record", R"({"gear":"left_tire","quantity":"pressure","value":"-44 psi"})", "below vacuum");
  expect_refused("record", R"({"gear":"camper","quantity":"temperature","value":"-500 degC"})", "absolute zero");
  expect_refused("record", R"({"gear":"camper","quantity":"humidity","value":"160 %"})", "out of range");
  expect_refused("record", R"({"gear":"hatch","quantity":"open","value":"ajar"})",
                 "'value' must be yes or no; words for yes: true, on, yes, 1, open, up; for no: false, off, no, 0, "
                 "closed, shut, down");
  expect_refused("record", R"({"gear":"left_tire","quantity":"pressure","value":null})", "'value'");
  expect_refused("record", R"({"gear":"left_tire","quantity":"pressure","value":["48 psi"]})", "'value'");
  expect_refused("record", R"({"gear":"left_tire","quantity":"pressure"})", "'value' is missing");
  expect_refused("record", R"({"gear":"left_tire","quantity":"leak_rate","value":"1 psi/week"})", "not measured");
  expect_refused("record", R"({"gear":"left_tir","quantity":"pressure","value":"48 psi"})", "did you mean left_tire");
}

// docs/topics.md: in the words of its sensor, too. A usual word keeps its meaning, however a switch is wired.
TEST(Record, TakesTheWordsThatTheSensorHas) {
  const auto site = plan_with(R"(
site: {id: alder_bend, local_time: America/Winnipeg}
places: {garage: {door_open: {topic: door, yes_is: [ajar, shut], no_is: tight}}}
)",
                              {});
  const auto answer = [&](std::string_view said) {
    const Lived lived = live(
        site,
        {command(noon, "record", fmt::format(R"({{"gear":"garage","quantity":"door_open","value":"{}"}})", said))});
    const auto why = refusals(lived);
    return why.empty() ? lived.answers.front().answer : why.front();
  };
  EXPECT_EQ(answer("ajar"), "Garage, door open: yes. Noted.");
  EXPECT_EQ(answer("Tight"), "Garage, door open: no. Noted.");
  EXPECT_EQ(answer("shut"), "Garage, door open: no. Noted.");
  EXPECT_EQ(answer("wide"),
            "'value' must be yes or no; words for yes: true, on, yes, 1, open, up, ajar; for no: false, off, no, 0, "
            "closed, shut, down, tight");
}

TEST(Record, SaysHowFarTheSensorIsOff) {
  const auto answer = [](std::string_view value) {
    return after("record", fmt::format(R"({{"gear":"outdoors","quantity":"temperature","value":"{}"}})", value))
        .answers.front()
        .answer;
  };
  EXPECT_TRUE(answer("10 degF").ends_with("The sensor says 14 °F, 4 °F more.")) << answer("10 degF");
  EXPECT_TRUE(answer("14 degF").ends_with("The sensor says the same.")) << answer("14 degF");
  EXPECT_TRUE(answer("14.2 degF").ends_with("The sensor says the same.")) << answer("14.2 degF");
}

// ISO 2533 at 2500 m: 74.68 kPa. A true gauge shows 26.64 kPa more there than a sensor that subtracts 101.325 kPa: of
// 300 kPa by the sensor 326.6 kPa. Filled to 325 kPa at the temperature of now, and some hours' seepage since.
TEST(Record, SetsATrueGaugeBesideASealedSensor) {
  const auto high = plan_with(R"(
site: {id: alder_bend, local_time: America/Winnipeg, altitude: 2500 m}
places: {outdoors: {temperature: {topic: yard, unit: degC}}}
gear:
  tire:
    kind: tire
    place: outdoors
    filled: {pressure: 325 kPa, temperature: 0 degC, date: 2026-12-01}
    pressure: {topic: tire, unit: kPa, reads: sealed}
)");
  const auto answer = [&](std::string_view value, std::string_view at) {
    const std::string json = fmt::format(R"({{"gear":"tire","quantity":"pressure","value":"{}"{}}})", value, at);
    return live(high, {{"2026-12-01T15:00:00Z", "yard", "0"},
                       {"2026-12-01T15:00:00Z", "tire", "300"},
                       {"2026-12-01T17:55:00Z", "yard", "0"},
                       {"2026-12-01T17:55:00Z", "tire", "300"},
                       command(noon, "record", json)})
        .answers.front()
        .answer;
  };
  for (const std::string_view at : {"", R"(,"at":"2026-12-01T15:10:00Z")"}) {
    const std::string same = answer("3.27 bar", at);
    EXPECT_NE(same.find("3.27 bar is fine: 3.2"), std::string::npos) << same;
    EXPECT_TRUE(same.ends_with("The sensor says 3.00 bar, by a true gauge the same.")) << same;
    const std::string less = answer("2.80 bar", at);
    EXPECT_NE(less.find("is low"), std::string::npos) << less;
    EXPECT_TRUE(less.ends_with("The sensor says 3.00 bar, by a true gauge 3.27 bar, 0.47 bar more.")) << less;
  }
}

// A boolean has no difference: what its sensor says is told where it says otherwise.
TEST(Record, IsSetBesideASensorThatSaysOtherwise) {
  const auto doors = plan_with(R"(
site: {id: alder_bend, local_time: America/Winnipeg}
gear: {hatch: {kind: door_or_vent, should_be: open, open: {topic: hatch}}}
)");
  const auto answer = [&](std::string_view value) {
    const std::string json = fmt::format(R"({{"gear":"hatch","quantity":"open","value":{}}})", value);
    return live(doors, {{"2026-12-01T17:00:00Z", "hatch", "open"}, command(noon, "record", json)})
        .answers.front()
        .answer;
  };
  EXPECT_EQ(answer("false"), "Hatch, open: no. Noted. The sensor says yes.");
  EXPECT_EQ(answer("true"), "Hatch, open: yes. Noted.");
}

// Of that time, not of now; where it said nothing near it, nothing is told.
TEST(Record, IsSetBesideWhatTheSensorSaidThen) {
  const auto answer = [](std::string_view at) {
    return live(plan(),
                {{"2026-12-01T10:00:00Z", "yard", "-10"},
                 {"2026-12-01T17:00:00Z", "yard", "0"},
                 command(
                     noon, "record",
                     fmt::format(R"({{"gear":"outdoors","quantity":"temperature","value":"12 degF","at":"{}"}})", at))})
        .answers.front()
        .answer;
  };
  EXPECT_TRUE(answer("2026-12-01T10:10:00Z").ends_with("The sensor says 14 °F, 2 °F more."))
      << answer("2026-12-01T10:10:00Z");
  EXPECT_EQ(answer("2026-11-20T10:10:00Z").find("sensor"), std::string::npos) << answer("2026-11-20T10:10:00Z");
}

TEST(Record, KeepsTheDigitsOfAHydrometer) {
  const Lived lived = after("record", R"({"gear":"battery","quantity":"specific_gravity","value":"1.265"})");
  EXPECT_EQ(lived.answers.front().answer, "Battery, specific gravity: 1.265 is fine: about 100 % charged.");
}

TEST(Service, SaysOfTheSiteThatItsGearIsWatchedOn) {
  EXPECT_EQ(after("take_out", R"({"gear":"alder_bend"})").answers.front().answer,
            "Alder bend: what is asked of the site itself is out of service until put_back; its places and gear are "
            "watched as before.");
  EXPECT_EQ(after("take_out", R"({"gear":"battery"})").answers.front().answer,
            "Battery is out of service; nothing is said of it until put_back.");
}

TEST(Record, LooksAtItsTime) {
  const auto at = [](std::string_view t) {
    return fmt::format(R"({{"gear":"left_tire","quantity":"pressure","value":"48 psi","at":"{}"}})", t);
  };
  expect_accepted("record", at("2026-12-01T18:05:00Z"));  // five minutes ahead
  expect_refused("record", at("2026-12-01T18:05:01Z"), "future");
  expect_accepted("record", at("2026-10-02T18:00:00Z"));  // sixty days back
  expect_refused("record", at("2026-10-02T17:59:59Z"), "60 days");
  expect_accepted("record", at("2026-12-01T10:00:00-06:00"));
  expect_refused("record", at("yesterday"), "no time");
}

TEST(Record, EndsAQuestionWithItsMarkAlone) {
  const Lived lived = after("record", R"({"gear":"left_tir","quantity":"pressure","value":"48 psi"})");
  EXPECT_TRUE(lived.answers.front().answer.ends_with("did you mean left_tire?")) << lived.answers.front().answer;
}

TEST(Record, AnswersWithTheExpectedPressure) {
  const Lived lived = after("record", R"({"gear":"left_tire","quantity":"pressure","value":"45.6 psi"})");
  ASSERT_EQ(lived.answers.size(), 1U);
  EXPECT_NE(lived.answers.front().answer.find("45.6 psi is fine: "), std::string::npos);
  EXPECT_NE(lived.answers.front().answer.find("expected at 14 °F"), std::string::npos) << lived.answers.front().answer;
  const Event& e = lived.events.back();
  ASSERT_TRUE(e.expected.has_value());
  // Ideal gas, both at one standard atmosphere (ISO 2533); seepage takes up to 1.5 % a month of it (Tire Science and
  // Technology 13, 1985).
  const double dry = (52 * 6894.757293 + 101325) * 263.15 / (273.15 + (61 - 32) / 1.8) - 101325;
  EXPECT_LT(*e.expected, dry);
  EXPECT_GT(*e.expected, dry * (1 - 0.015 * 38 / 30.4));
}

TEST(Record, ExpectsOfABatteryReadForTheFirstTime) {
  const auto charged = plan_with(R"(
site: {id: alder_bend, local_time: America/Winnipeg}
places: {outdoors: {temperature: {topic: yard, unit: degC}}}
gear: {battery: {kind: lead_acid_battery, place: outdoors, voltage: by_hand, charged: {date: 2026-11-01}}}
)");
  const Lived lived =
      live(charged, together({hourly("yard", "2026-11-01T06:00:00Z", 200, [](int) { return 5; }),
                              {command("2026-11-09T12:00:00Z", "record",
                                       R"({"gear":"battery","quantity":"voltage","value":"12.6 V"})")}}));
  ASSERT_TRUE(lived.events.back().expected.has_value());
  // 12.65 V is full at 25 degC (trade tables), 1.2 mV/K less at 5 degC, a little less after a week.
  EXPECT_NEAR(*lived.events.back().expected, 12.62, 0.02);
}

TEST(Act, SaysBetweenWhichLimitsAValueLies) {
  expect_refused("act", R"({"gear":"left_tire","act":"filled","pressure":"0 psi"})",
                 "'pressure' is out of range (5.0 psi to 137.8 psi)");
}

TEST(Act, TakesTheActsOfTheKindWithTheirOwnValues) {
  expect_accepted("act", R"({"gear":"left_tire","act":"filled","pressure":"50 psi","temperature":"20 degF"})");
  expect_accepted("act", R"({"gear":"left_tire","act":"filled","pressure":"50 psi"})");
  expect_accepted("act", R"({"gear":"left_tire","act":"moved"})");
  expect_accepted("act", R"({"gear":"left_tire","act":"valve_checked"})");
  expect_accepted("act", R"({"gear":"battery","act":"charged"})");
  expect_accepted("act", R"({"gear":"alarm_a","act":"replaced"})");
  expect_accepted("act", R"({"gear":"alarm_a","act":"tested"})");
  expect_refused("act", R"({"gear":"left_tire","act":"filled"})", "'pressure' is missing");
  expect_refused("act", R"({"gear":"left_tire","act":"filled","pressure":50})", "psi");
  expect_refused("act", R"({"gear":"left_tire","act":"filled","pressure":"50 psi","oil":"1 L"})", "unknown key 'oil'");
  expect_refused("act", R"({"gear":"left_tire","act":"charged"})", "filled, moved, valve_checked");
  expect_refused("act", R"({"gear":"hatch","act":"tested"})", "it has none");
}

TEST(Commands, RefuseWhatTheyDoNotKnow) {
  expect_refused("record", R"({"gear":"left_tire","quantity":"pressure","value":"48 psi","foo":1})",
                 "unknown key 'foo'");
  expect_refused("recrod", "{}", "did you mean record");
  expect_refused("acknowledge", R"({"rule":"tire_leaking","gear":"left_tire"})", "not active");
  expect_refused("acknowledge", R"({"rule":"tire_leakin","gear":"left_tire"})", "did you mean tire_leaking");
  expect_refused("acknowledge", R"({"rule":"tire_leaking","gear":"hatch"})", "does not watch");
  expect_refused("season", R"({"return_to_service":"2026-05-01"})", "before the lay-up");
  expect_refused("season", "{}", "lay_up");
  expect_refused("season", R"({"lay_up":"soon"})", "no date");
}

TEST(Commands, SayWithARefusalWhatIsThereInstead) {
  expect_refused("record", R"({"gear":"left_tire","quantity":"pressure","value":"48 psi","foo":1})",
                 "unknown key 'foo'; record takes id, at, by, note, gear, quantity, value");
  expect_refused("record", R"({"geer":"left_tire","quantity":"pressure","value":"48 psi"})", "did you mean gear?");
  expect_refused("act", R"({"gear":"left_tire","act":"filled","pres":"48 psi"})",
                 "unknown key 'pres' for the act 'filled'; it takes pressure, temperature");
  expect_refused("act", R"({"gear":"left_tire","act":"moved","pressure":"48 psi"})",
                 "unknown key 'pressure' for the act 'moved'; it takes no values");
  expect_refused("nonsense", "{}",
                 "there is no command 'nonsense'; the commands are record, act, acknowledge, shelve, unshelve, "
                 "take_out, put_back, done, skip, season");
  expect_refused("acknowledge", R"({"rule":"tire_leaking","gear":"hatch"})",
                 "the rule 'tire_leaking' does not watch 'hatch'; it watches left_tire");
  expect_refused("acknowledge", R"({"rule":"xyzzy","gear":"left_tire"})",
                 "there is no rule 'xyzzy'; left_tire is watched by ");
  expect_refused("acknowledge", R"({"rule":"tire_leaking","gear":"left_tire"})",
                 "it is not active; there is nothing to acknowledge");
  expect_refused("unshelve", R"({"rule":"tire_leaking","gear":"left_tire"})",
                 "it is not shelved; there is nothing to undo");
  expect_refused("shelve", R"({"rule":"door_or_vent_wrong","gear":"hatch","for":"2 days"})",
                 "'for': `days` is not a unit (write `d`)");
  expect_refused("put_back", R"({"gear":"hatch"})", "it is in service already; there is nothing to put back");
  expect_refused("take_out", R"({"gear":"xyzzy"})", "there is no gear or place 'xyzzy'; there are ");
  expect_refused("done", R"({"reminder":"test_item","gear":"hatch"})",
                 "the reminder 'test_item' is not about 'hatch'; it is about alarm_a and alarm_b");
  expect_refused("done", R"({"reminder":"xyzzy"})", "there is no reminder 'xyzzy'; there are ");
}

TEST(Commands, RefuseOddPayloads) {
  expect_refused("record", "", "empty");
  expect_refused("record", "[]", "not a JSON object");
  expect_refused("record", "{", "not JSON");
  expect_refused("record", R"({"gear":"hatch","gear":"hatch","quantity":"open","value":true})", "stands twice");
  const auto retained = refusals(after("record", R"({"gear":"hatch","quantity":"open","value":true})", true));
  ASSERT_EQ(retained.size(), 1U);
  EXPECT_NE(retained.front().find("retained"), std::string::npos);
}

TEST(Commands, ThatWereRetainedMayComeAgainUnderTheirId) {
  Mail first = command(noon, "record", R"({"gear":"hatch","quantity":"open","value":"closed","id":"r"})");
  const Mail again = first;
  first.retained = true;
  const Lived lived = live(plan(), {{"2026-12-01T17:00:00Z", "yard", "-10"}, first, again});
  ASSERT_EQ(lived.answers.size(), 2U);
  EXPECT_FALSE(lived.answers[0].accepted);
  EXPECT_EQ(lived.answers[0].id, "r") << "whoever sent it must find the answer";
  EXPECT_TRUE(lived.answers[1].accepted) << lived.answers[1].answer;
  EXPECT_NE(lived.answers[1].answer.find("open: no. Noted."), std::string::npos) << lived.answers[1].answer;
}

TEST(Commands, CountCharactersNotBytes) {
  std::string accents;
  for (int i = 0; i < 200; ++i) accents += "é";
  const auto by = [](std::string_view text) {
    return fmt::format(R"({{"gear":"hatch","quantity":"open","value":true,"by":"{}"}})", text);
  };
  expect_accepted("record", by(accents));
  expect_refused("record", by(accents + "x"), "200 characters");
  expect_refused("record",
                 fmt::format(R"({{"gear":"hatch","quantity":"open","value":true,"id":"{}"}})", std::string(65, 'x')),
                 "64 characters");
}

TEST(Commands, AreAnsweredAgainForADayAndCarriedOutOnce) {
  const auto at = [](std::string_view t) {
    return command(t, "record", R"({"id":"a1","gear":"hatch","quantity":"open","value":false})");
  };
  const Lived lived = live(plan(), {{"2026-12-01T17:00:00Z", "yard", "-10"},
                                    at("2026-12-01T18:00:00Z"),
                                    at("2026-12-02T17:59:59Z"),
                                    at("2026-12-02T18:00:00Z")});
  EXPECT_EQ(
      told(lived, {EventKind::hand_reading}),
      (std::vector<std::string>{"2026-12-01T18:00:00Z hand_reading hatch", "2026-12-02T18:00:00Z hand_reading hatch"}));
  ASSERT_EQ(lived.answers.size(), 3U);
  EXPECT_EQ(lived.answers[1].answer, lived.answers[0].answer);
  EXPECT_EQ(lived.answers[1].id, "a1");
}

// Whoever counts its ids anew gets no other command's answer for its own.
TEST(Commands, WithTheIdOfAnotherCommandAreRefused) {
  const auto record = [](std::string_view at) {
    return command(at, "record", R"({"id":"1","gear":"hatch","quantity":"open","value":false})");
  };
  const Mail other = command("2026-12-01T18:01:00Z", "take_out", R"({"id":"1","gear":"hatch"})");
  const Lived lived =
      live(plan(), {{"2026-12-01T17:00:00Z", "yard", "-10"}, record(noon), other, record("2026-12-01T18:02:00Z")});
  ASSERT_EQ(lived.answers.size(), 3U);
  EXPECT_EQ(lived.answers[1].command, "take_out");
  EXPECT_FALSE(lived.answers[1].accepted);
  EXPECT_NE(lived.answers[1].why.find("the id '1' is that of a command 'record'"), std::string::npos)
      << lived.answers[1].why;
  EXPECT_EQ(lived.answers[2].answer, lived.answers[0].answer);
}

TEST(Done, AsksWhichGearWhenThereAreSeveral) {
  expect_refused("done", R"({"reminder":"test_item"})", "alarm_a, alarm_b");
  expect_accepted("done", R"({"reminder":"test_item","gear":"alarm_b"})");
  expect_accepted("done", R"({"reminder":"walkaround"})");
  expect_refused("done", R"({"reminder":"walkaroun"})", "did you mean walkaround");
  expect_refused("skip", R"({"reminder":"test_item","gear":"hatch"})", "not about 'hatch'");
}

// Numbers of what nobody asked for would only puzzle.
TEST(Done, OfWhatWasNotDueAnswersWithItsNameAlone) {
  EXPECT_EQ(after("done", R"({"reminder":"charge_battery","gear":"battery"})").answers.front().answer,
            "Done: Battery, charge battery. It was not due.");
}

TEST(Shelve, NamesWhatIsNotActiveAsATitleDoes) {
  const std::string answer =
      after("shelve", R"({"rule":"door_or_vent_wrong","gear":"hatch","for":"2 h"})").answers.front().answer;
  EXPECT_NE(answer.find(": Hatch: door or vent wrong. It comes back by itself."), std::string::npos) << answer;
}

TEST(Commands, WithoutANameAreRefused) {
  expect_refused("", R"({"id":"n1"})", "the topic names no command; the commands are record, act,");
}

TEST(Skip, KeepsWhy) {
  const auto said = [](const std::string& keys) {
    return after("skip", R"({"reminder":"walkaround",)" + keys + "}").events.back().message;
  };
  EXPECT_EQ(said(R"("why":"snowed in")"), "snowed in");
  EXPECT_EQ(said(R"("found":"the gate is stuck","why":"snowed in")"), "the gate is stuck; snowed in");
}

TEST(Done, AnswersInThePersonsWords) {
  const Lived lived = after("done", R"({"reminder":"test_item","gear":"alarm_a","found":"all sound","by":"Ann"})");
  ASSERT_EQ(lived.answers.size(), 1U);
  EXPECT_EQ(lived.answers.front().answer, "Done: Test alarm a and record that it was tested.");
  EXPECT_EQ(lived.events.back().message, "all sound");
  EXPECT_EQ(lived.events.back().by, "Ann");
}

TEST(Titles, BeginWithACapitalAndShowNoUnderscore) {
  const Lived lived = after("record", R"({"gear":"left_tire","quantity":"pressure","value":"38 psi"})");
  ASSERT_EQ(lived.events.back().kind, EventKind::alarm_raised);
  EXPECT_EQ(lived.events.back().title, "Left tire is below what it should read");
}

TEST(NoPlace, IsNothingThatAPersonCanName) {
  const auto loose = plan_with(R"(
site: {id: alder_bend, local_time: America/Winnipeg}
gear: {spare: {kind: tire, pressure: by_hand}}
)");
  EXPECT_EQ(
      refusals(live(loose, {command(noon, "record", R"({"gear":"no place","quantity":"temperature","value":"8 degC"})"),
                            command(noon, "take_out", R"({"gear":"no place"})")}))
          .size(),
      2U);
  for (const std::string_view id : loose->ids()) EXPECT_EQ(id.find(' '), std::string_view::npos) << id;
}

}  // namespace
}  // namespace overwinter
