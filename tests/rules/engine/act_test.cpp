// Work that changes what to expect: the newest counts, it forgets the work before it, and a rise without one is asked
// about.
#include <gtest/gtest.h>

#include <fmt/format.h>

#include "tests/rules/engine/lived.h"
#include "tests/rules/engine/story.h"

namespace overwinter {
namespace {

constexpr double psi_in_pascals = 6894.757293;
constexpr double kelvin = 273.15;

std::string tire_site(std::string_view filled) {
  return fmt::format(R"(
site: {{id: alder_bend, local_time: America/Winnipeg, display_units: us}}
season: {{lay_up: 2026-10-31}}
places: {{outdoors: {{temperature: {{topic: yard, unit: degC}}}}}}
gear:
  left_tire: {{kind: tire, place: outdoors, minimum_pressure: 40 psi, filled: {}, pressure: by_hand}}
rules_from: [rules.yaml]
)",
                     filled);
}

constexpr std::string_view of_october = "{pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}";

std::vector<Mail> yard() {
  return hourly("yard", "2026-11-01T06:00:00Z", 24 * 12, [](int) { return -5; });
}

Mail gauged_by_hand(std::string_view at, std::string_view value) {
  return command(at, "record", fmt::format(R"({{"gear":"left_tire","quantity":"pressure","value":"{}"}})", value));
}

double expected_of_last_reading(const Lived& lived) {
  for (auto e = lived.events.rbegin(); e != lived.events.rend(); ++e) {
    if (e->kind == EventKind::hand_reading) return e->expected.value_or(0);
  }
  return 0;
}

// Of the ideal gas, gauge at one standard atmosphere, of a tire at -5 degC.
double dry(double filled_psi, double celsius) {
  return (filled_psi * psi_in_pascals + 101325) * (kelvin - 5) / (kelvin + celsius) - 101325;
}

TEST(Act, CountsWhenItIsNewerThanTheSiteFile) {
  const Lived lived =
      live(plan_with(tire_site(of_october)),
           together({yard(),
                     {command("2026-11-03T08:00:00Z", "act",
                              R"({"gear":"left_tire","act":"filled","pressure":"50 psi","temperature":"23 degF"})"),
                      gauged_by_hand("2026-11-04T08:00:00Z", "50 psi")}}));
  EXPECT_NEAR(expected_of_last_reading(lived), dry(50, -5), 0.1 * psi_in_pascals);
}

TEST(Act, ChangesNothingWhenTheSiteFileTellsOfANewerOne) {
  const Lived lived =
      live(plan_with(tire_site(of_october)),
           together({yard(),
                     {command("2026-11-03T08:00:00Z", "act",
                              R"({"gear":"left_tire","act":"filled","pressure":"40 psi","temperature":"23 degF",
                                          "at":"2026-10-20T12:00:00Z"})"),
                      gauged_by_hand("2026-11-04T08:00:00Z", "46 psi")}}));
  EXPECT_NEAR(expected_of_last_reading(lived), dry(52, (61 - 32) / 1.8), 0.6 * psi_in_pascals);
  EXPECT_NE(lived.answers.front().answer.find("a later one"), std::string::npos) << lived.answers.front().answer;
  EXPECT_EQ(told(lived, {EventKind::act}).size(), 1U);
}

TEST(Act, ChangesNothingWhenALaterOneWasTold) {
  const Lived lived =
      live(plan_with(tire_site(of_october)),
           together({yard(),
                     {command("2026-11-03T08:00:00Z", "act",
                              R"({"gear":"left_tire","act":"filled","pressure":"50 psi","temperature":"23 degF"})"),
                      command("2026-11-03T09:00:00Z", "act",
                              R"({"gear":"left_tire","act":"filled","pressure":"30 psi","at":"2026-11-02T08:00:00Z"})"),
                      gauged_by_hand("2026-11-04T08:00:00Z", "50 psi")}}));
  EXPECT_NEAR(expected_of_last_reading(lived), dry(50, -5), 0.1 * psi_in_pascals);
}

TEST(Act, YieldsToASiteFileThatIsWrittenAnew) {
  const auto before = plan_with(tire_site(of_october));
  const auto after = plan_with(tire_site("{pressure: 48 psi, temperature: 23 degF, date: 2026-11-06}"));
  const auto mail =
      together({yard(),
                {command("2026-11-03T08:00:00Z", "act",
                         R"({"gear":"left_tire","act":"filled","pressure":"50 psi","temperature":"23 degF"})"),
                 gauged_by_hand("2026-11-08T08:00:00Z", "48 psi")}});
  EXPECT_NEAR(expected_of_last_reading(live_through_restart(before, mail, "2026-11-07T00:00:00Z", after)), dry(48, -5),
              0.1 * psi_in_pascals);
  EXPECT_NEAR(expected_of_last_reading(live_through_restart(before, mail, "2026-11-07T00:00:00Z", before)), dry(50, -5),
              0.1 * psi_in_pascals);
}

TEST(Act, ForgetsTheGaugeAndTheWeatherOfTheFillBefore) {
  const auto plan = plan_with(tire_site(
      "{pressure: 66 psi, temperature: 61 degF, date: 2026-10-24, station_pressure: 95 kPa, reads: absolute}"));
  const auto mail =
      together({yard(),
                {command("2026-11-03T08:00:00Z", "act",
                         R"({"gear":"left_tire","act":"filled","pressure":"50 psi","temperature":"23 degF"})"),
                 gauged_by_hand("2026-11-04T08:00:00Z", "50 psi")}});
  EXPECT_NEAR(expected_of_last_reading(live(plan, mail)), dry(50, -5), 0.1 * psi_in_pascals);
  EXPECT_NEAR(expected_of_last_reading(live_through_restart(plan, mail, "2026-11-03T12:00:00Z", plan)), dry(50, -5),
              0.1 * psi_in_pascals);
}

TEST(Act, TakesThePlacesTemperatureWhenNoneIsTold) {
  const Lived lived = live(
      plan_with(tire_site(of_october)),
      together({yard(),
                {command("2026-11-03T08:00:00Z", "act", R"({"gear":"left_tire","act":"filled","pressure":"50 psi"})"),
                 gauged_by_hand("2026-11-04T08:00:00Z", "50 psi")}}));
  EXPECT_NEAR(expected_of_last_reading(lived), dry(50, -5), 0.1 * psi_in_pascals);
}

// 9 psi at -5 degC are 9.8 psi at 20 degC, at which readings are compared (ideal gas).
TEST(Act, IsAskedForInTheDigestWhenThePressureRose) {
  const auto readings = {gauged_by_hand("2026-11-03T08:00:00Z", "46 psi"),
                         gauged_by_hand("2026-11-05T08:00:00Z", "55 psi")};
  const auto asked = digests(live(plan_with(tire_site(of_october)), together({yard(), readings})));
  ASSERT_EQ(asked.size(), 2U);
  EXPECT_NE(asked[1].find("Left tire: its pressure rose by 9.8 psi and no act says why. Was it pumped up? Then record "
                          "it: filled."),
            std::string::npos)
      << asked[1];
  EXPECT_EQ(asked[1].find(".."), std::string::npos) << asked[1];
}

TEST(Act, ExplainsARiseSoThatNothingIsAsked) {
  const auto mail =
      together({yard(),
                {gauged_by_hand("2026-11-03T08:00:00Z", "46 psi"),
                 command("2026-11-05T07:00:00Z", "act", R"({"gear":"left_tire","act":"filled","pressure":"55 psi"})"),
                 gauged_by_hand("2026-11-05T08:00:00Z", "55 psi")}});
  for (const std::string& text : digests(live(plan_with(tire_site(of_october)), mail))) {
    EXPECT_EQ(text.find("rose"), std::string::npos) << text;
  }
}

// Gauged low, pumped up, gauged again, and written down last: on the spot, or in the evening from a note.
TEST(Act, ExplainsARiseAlsoWhenItIsToldAfterIt) {
  const auto last_digest = [](const std::string& filled_at, const std::vector<Mail>& more = {}) {
    const std::string act = R"({"gear":"left_tire","act":"filled","pressure":"55 psi")" + filled_at + "}";
    const auto mail =
        together({yard(),
                  {gauged_by_hand("2026-11-05T08:00:00Z", "46 psi"), gauged_by_hand("2026-11-05T08:40:00Z", "55 psi"),
                   command("2026-11-06T02:00:00Z", "act", act)},
                  more});
    const auto plan = plan_with(tire_site(of_october));
    const auto texts = digests(live(plan, mail));
    EXPECT_EQ(digests(live_through_restart(plan, mail, "2026-11-05T12:00:00Z", plan)), texts);
    return texts.empty() ? "no digest" : texts.back();
  };
  EXPECT_EQ(last_digest("").find("rose"), std::string::npos) << last_digest("");
  const std::string noted = R"(,"at":"2026-11-05T08:30:00Z")";
  EXPECT_EQ(last_digest(noted).find("rose"), std::string::npos) << last_digest(noted);
  const std::string rounded = R"(,"at":"2026-11-05T07:45:00Z")";
  EXPECT_EQ(last_digest(rounded).find("rose"), std::string::npos) << last_digest(rounded);
  const std::string of_last_week = R"(,"at":"2026-10-29T08:00:00Z")";
  EXPECT_NE(last_digest(of_last_week).find("rose"), std::string::npos) << last_digest(of_last_week);
  const std::string later = last_digest(
      "", {gauged_by_hand("2026-11-06T08:00:00Z", "55 psi"), gauged_by_hand("2026-11-07T08:00:00Z", "64 psi")});
  EXPECT_NE(later.find("rose by 9.8 psi"), std::string::npos) << later;
}

TEST(Act, OfChargingToldAfterTheChargeRoseLeavesNothingToAsk) {
  const auto plan = plan_with(R"(
site: {id: alder_bend, local_time: America/Winnipeg}
season: {lay_up: 2026-10-31}
places: {outdoors: {temperature: {topic: yard, unit: degC}}}
gear:
  battery: {kind: lead_acid_battery, place: outdoors, capacity: 85 Ah, voltage: by_hand}
)");
  const auto read = [](std::string_view at, std::string_view volts) {
    return command(at, "record", fmt::format(R"({{"gear":"battery","quantity":"voltage","value":"{}"}})", volts));
  };
  const std::vector<Mail> risen{read("2026-11-03T08:00:00Z", "12.2 V"), read("2026-11-05T08:00:00Z", "12.6 V")};
  const auto charged =
      command("2026-11-06T02:00:00Z", "act", R"({"gear":"battery","act":"charged","at":"2026-11-04T20:00:00Z"})");
  const std::string asked = digests(live(plan, together({yard(), risen}))).back();
  EXPECT_NE(asked.find("Battery: its charge rose by"), std::string::npos) << asked;
  const std::string told = digests(live(plan, together({yard(), risen, {charged}}))).back();
  EXPECT_EQ(told.find("rose"), std::string::npos) << told;
}

// People tell times to the minute: a tire is found soft, filled, and gauged, all at 15:30. What is told of one instant
// happened in the order in which it is told, whether it is told on the spot or later.
class SameInstant : public testing::TestWithParam<bool> {
 protected:
  // Of one visit at 08:05, told then or an hour after it.
  static Mail told_of_visit(std::string_view name, std::string_view gear_and_more) {
    return command(GetParam() ? "2026-11-03T08:05:00Z" : "2026-11-03T09:05:00Z", name,
                   fmt::format(R"({{{},"at":"2026-11-03T08:05:00Z"}})", gear_and_more));
  }
  static Mail gauged(std::string_view psi) {
    return told_of_visit("record", fmt::format(R"("gear":"left_tire","quantity":"pressure","value":"{} psi")", psi));
  }
  static Mail filled() {
    return told_of_visit("act", R"("gear":"left_tire","act":"filled","pressure":"48 psi","temperature":"23 degF")");
  }
  static Mail volts(std::string_view volts) {
    return told_of_visit("record", fmt::format(R"("gear":"battery","quantity":"voltage","value":"{} V")", volts));
  }
  static Mail charged() { return told_of_visit("act", R"("gear":"battery","act":"charged")"); }

  // The alarms of the visit and after it, and the same where the engine is stopped in between.
  static std::vector<std::string> alarms(const std::vector<Mail>& visit) {
    const auto plan = plan_with(R"(
site: {id: alder_bend, local_time: America/Winnipeg}
season: {lay_up: 2026-10-31}
places: {outdoors: {temperature: {topic: yard, unit: degC}}}
gear:
  left_tire: {kind: tire, place: outdoors, filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}, pressure: by_hand}
  battery: {kind: lead_acid_battery, place: outdoors, capacity: 85 Ah, voltage: by_hand}
rules_from: [standard]
)");
    const auto mail = together({yard(), visit});
    const std::vector<EventKind> kinds{EventKind::alarm_raised, EventKind::alarm_cleared};
    std::vector<std::string> lines = told(live(plan, mail), kinds);
    for (const std::string_view at : {"2026-11-03T08:30:00Z", "2026-11-03T09:30:00Z"}) {
      EXPECT_EQ(told(live_through_restart(plan, mail, at, plan), kinds), lines) << at;
    }
    for (std::string& line : lines) line.erase(0, line.find(' ') + 1);
    return lines;
  }
};

INSTANTIATE_TEST_SUITE_P(OnTheSpotAndLater, SameInstant, testing::Bool());

TEST_P(SameInstant, AReadingToldBeforeTheWorkIsFromBeforeIt) {
  EXPECT_EQ(alarms({gauged("30"), filled()}),
            (std::vector<std::string>{"alarm_raised tire_below_expected", "alarm_cleared tire_below_expected"}));
  EXPECT_EQ(alarms({volts("12.10"), charged()}),
            (std::vector<std::string>{"alarm_raised battery_recharge", "alarm_cleared battery_recharge"}));
}

TEST_P(SameInstant, AReadingToldAfterTheWorkIsOfItsResult) {
  EXPECT_EQ(alarms({filled(), gauged("30")}), (std::vector<std::string>{"alarm_raised tire_below_expected"}));
  EXPECT_EQ(alarms({charged(), volts("12.10")}), (std::vector<std::string>{"alarm_raised battery_recharge"}));
  EXPECT_EQ(alarms({gauged("30"), filled(), gauged("31")}),
            (std::vector<std::string>{"alarm_raised tire_below_expected", "alarm_cleared tire_below_expected",
                                      "alarm_raised tire_below_expected"}));
  EXPECT_EQ(alarms({volts("12.10"), charged(), volts("12.20")}),
            (std::vector<std::string>{"alarm_raised battery_recharge", "alarm_cleared battery_recharge",
                                      "alarm_raised battery_recharge"}));
}

TEST_P(SameInstant, WorkThatIsToldAnewCountsAsToldLast) {
  EXPECT_EQ(alarms({gauged("30"), filled(), gauged("31"), filled()}),
            (std::vector<std::string>{"alarm_raised tire_below_expected", "alarm_cleared tire_below_expected",
                                      "alarm_raised tire_below_expected", "alarm_cleared tire_below_expected"}));
}

TEST(Act, OfFillingAboveTheSidewallsMaximumIsRecordedWithACaution) {
  const auto plan = plan_with(tire_site(std::string(of_october) + ", maximum_pressure: 65 psi"));
  const auto answer = [&](std::string_view pressure) {
    const Lived lived = live(
        plan, together({yard(),
                        {command("2026-11-03T08:00:00Z", "act",
                                 fmt::format(R"({{"gear":"left_tire","act":"filled","pressure":"{}"}})", pressure))}}));
    EXPECT_EQ(told(lived, {EventKind::act}).size(), 1U);
    return lived.answers.front().answer;
  };
  EXPECT_NE(answer("110 psi").find("110.0 psi is above the sidewall's maximum of 65.0 psi; let air out"),
            std::string::npos)
      << answer("110 psi");
  EXPECT_EQ(answer("65 psi").find("maximum"), std::string::npos) << answer("65 psi");
}

// Else the next reading is the first to say that nothing can be expected.
TEST(Act, OfFillingWithoutAnyTemperatureSaysWhatIsMissing) {
  const auto answer = [](const std::vector<Mail>& air, std::string_view more) {
    const std::string act = fmt::format(R"({{"gear":"left_tire","act":"filled","pressure":"52 psi"{}}})", more);
    return live(plan_with(tire_site(of_october)), together({air, {command("2026-11-03T08:00:00Z", "act", act)}}))
        .answers.front()
        .answer;
  };
  EXPECT_NE(answer({}, "").find("The temperature of its place at that time is not known"), std::string::npos)
      << answer({}, "");
  EXPECT_EQ(answer({}, R"(,"temperature":"23 degF")").find("not known"), std::string::npos);
  EXPECT_EQ(answer(yard(), "").find("not known"), std::string::npos) << answer(yard(), "");
}

TEST(HandReading, AboveTheSidewallsMaximumIsNotFine) {
  const Lived lived = live(plan_with(tire_site(std::string(of_october) + ", maximum_pressure: 65 psi")),
                           together({yard(), {gauged_by_hand("2026-11-04T08:00:00Z", "110 psi")}}));
  EXPECT_TRUE(lived.answers.front().answer.starts_with("110.0 psi is above the sidewall's maximum of 65.0 psi; let "))
      << lived.answers.front().answer;
}

TEST(HandReading, NamesTheAlarmThatItDoesNotEnd) {
  constexpr std::string_view soft = R"(
rules:
  soft:
    applies_to: {kind: tire}
    raise_when: pressure < 42 psi
    clear_when: pressure > 48 psi
    title: "{name} is soft"
    message: Soft.
)";
  const Lived lived = live(
      plan_with(tire_site(of_october), soft),
      together({yard(),
                {gauged_by_hand("2026-11-03T08:00:00Z", "40 psi"), gauged_by_hand("2026-11-04T08:00:00Z", "45 psi"),
                 gauged_by_hand("2026-11-05T08:00:00Z", "49 psi")}}));
  ASSERT_EQ(lived.answers.size(), 3U);
  const std::string stands = " The alarm \"Left tire is soft\" still stands.";
  EXPECT_EQ(lived.answers[0].answer.find("stands"), std::string::npos) << lived.answers[0].answer;
  EXPECT_TRUE(lived.answers[1].answer.ends_with(stands)) << lived.answers[1].answer;
  EXPECT_EQ(lived.answers[2].answer.find("stands"), std::string::npos) << lived.answers[2].answer;
}

// Three readings that fall, with the tire pumped up between the first two: no leak.
TEST(Act, RestartsTheTrend) {
  const auto falling = [](bool pumped) {
    std::vector<Mail> mail = {gauged_by_hand("2026-11-02T12:00:00Z", "45.5 psi"),
                              gauged_by_hand("2026-11-09T12:00:00Z", "43.0 psi"),
                              gauged_by_hand("2026-11-18T12:00:00Z", "41.5 psi")};
    if (pumped) {
      mail.push_back(
          command("2026-11-10T12:00:00Z", "act", R"({"gear":"left_tire","act":"filled","pressure":"43 psi"})"));
    }
    const Lived lived = live(plan_with(tire_site(of_october)),
                             together({hourly("yard", "2026-11-01T06:00:00Z", 24 * 20, [](int) { return -5; }), mail}));
    std::string verdict;
    for (const Event& e : lived.events) {
      if (e.kind == EventKind::hand_reading) verdict = e.reason;
    }
    return verdict;
  };
  EXPECT_NE(falling(false).find("leaking"), std::string::npos) << falling(false);
  EXPECT_EQ(falling(true), "fine");
}

std::vector<std::string> alarms_of(const Lived& lived) {
  return told(lived, {EventKind::alarm_raised, EventKind::alarm_unsuppressed, EventKind::alarm_cleared});
}

// What a reading from before the work should have been says nothing of the gear as it is now.
TEST(Act, OfFillingEndsWhatTheReadingBeforeSaid) {
  std::string site = tire_site(of_october);
  site.replace(site.find("[rules.yaml]"), 12, "[standard]");
  const Lived lived = live(
      plan_with(site),
      together({yard(),
                {gauged_by_hand("2026-11-03T12:00:00Z", "36 psi"),
                 command("2026-11-03T12:10:00Z", "act", R"({"gear":"left_tire","act":"filled","pressure":"46 psi"})"),
                 gauged_by_hand("2026-11-06T12:00:00Z", "46 psi")}}));
  EXPECT_EQ(alarms_of(lived), (std::vector<std::string>{"2026-11-03T12:00:00Z alarm_raised tire_below_expected",
                                                        "2026-11-03T12:10:00Z alarm_cleared tire_below_expected"}));
}

// The sensor saw the fill before anybody told it. What was suppressed is not told for the first time when it is over.
TEST(Act, EndsWhatTheSensorSawEndingBefore) {
  const auto plan = plan_of(R"(
places: {outdoors: {temperature: {topic: yard, unit: degC}}}
gear:
  left: {kind: tire, place: outdoors, pressure: {topic: left, unit: psi}}
  right: {kind: tire, place: outdoors, pressure: {topic: right, unit: psi}}
rules_from: [rules.yaml]
)",
                            R"(
rules:
  soft: {applies_to: {kind: tire}, raise_when: pressure < 42 psi, off_delay: 3 h, message: Soft.}
  softer: {applies_to: {kind: tire}, raise_when: pressure < 40 psi, off_delay: 2 h, suppressed_by: soft, message: Softer.}
)");
  EXPECT_EQ(told(plan, R"(
    12-01 00:00 left 38
    12-01 00:00 right 38
    12-01 01:00 left 38
    12-01 01:00 right 38
    12-01 02:00 left 52
    12-01 02:00 right 52
    12-01 03:00 do/act {"gear":"left","act":"filled","pressure":"52 psi","temperature":"23 degF"}
    12-01 06:00 yard 0
  )",
                 {"soft", "softer"}),
            lines_of(R"(
    12-01 01:00:00 alarm_raised soft left
    12-01 01:00:00 alarm_suppressed softer left
    12-01 01:00:00 alarm_raised soft right
    12-01 01:00:00 alarm_suppressed softer right
    12-01 03:00:00 alarm_cleared soft left
    12-01 03:00:00 alarm_unsuppressed softer left: cleared
    12-01 04:00:00 alarm_unsuppressed softer right: cleared
    12-01 05:00:00 alarm_cleared soft right
  )"));
}

TEST(Act, OfChargingRaisesNothingFromTheReadingBefore) {
  const Lived lived = live(
      plan_with(R"(
site: {id: alder_bend, local_time: America/Winnipeg}
season: {lay_up: 2026-10-31}
places: {garage: {temperature: {topic: garage, unit: degC}}}
gear:
  battery: {kind: lead_acid_battery, place: garage, capacity: 85 Ah, charged: {date: 2026-11-01}, voltage: by_hand}
rules_from: [standard]
)"),
      together(
          {hourly("garage", "2026-11-01T06:00:00Z", 24 * 50, [](int) { return 7; }),
           {command("2026-12-01T12:00:00Z", "record", R"({"gear":"battery","quantity":"voltage","value":"12.30 V"})"),
            command("2026-12-02T12:00:00Z", "act", R"({"gear":"battery","act":"charged"})")}}));
  EXPECT_EQ(alarms_of(lived), (std::vector<std::string>{"2026-12-01T12:00:00Z alarm_raised battery_recharge",
                                                        "2026-12-02T12:00:00Z alarm_cleared battery_recharge",
                                                        "2026-12-02T12:00:00Z alarm_unsuppressed battery_low"}));
}

constexpr std::string_view far_below = R"(
rules:
  off:
    applies_to: {kind: tire}
    raise_when: pressure.deviation < -3 psi
    message: Off.
)";

// Filled, then read by its sensor, then told: the reading is of the filled tire.
TEST(Act, ThatIsToldLaterCountsForTheReadingsSince) {
  const auto deviation_raises = [](std::string_view filled_at) {
    const Lived lived =
        live(plan_with(tire_site(of_october), far_below),
             together({yard(),
                       {gauged_by_hand("2026-11-03T12:00:00Z", "38 psi"),
                        command("2026-11-03T14:00:00Z", "act",
                                fmt::format(R"({{"gear":"left_tire","act":"filled","pressure":"38 psi","at":"{}"}})",
                                            filled_at))}}));
    return told(lived, {EventKind::alarm_raised, EventKind::alarm_cleared});
  };
  EXPECT_EQ(
      deviation_raises("2026-11-03T11:00:00Z"),
      (std::vector<std::string>{"2026-11-03T12:00:00Z alarm_raised off", "2026-11-03T14:00:00Z alarm_cleared off"}));
  EXPECT_EQ(deviation_raises("2026-11-03T13:00:00Z"),
            (std::vector<std::string>{"2026-11-03T12:00:00Z alarm_raised off"}));
}

// Looking at a valve changes nothing of what the tire should have read, also when the weather of then is forgotten.
TEST(Act, ThatChangesNothingLeavesWhatTheReadingShouldHaveBeen) {
  const Lived lived =
      live(plan_with(tire_site(of_october), std::string(far_below) + R"(
  unknown:
    applies_to: {kind: tire}
    raise_when: known(pressure) and not known(pressure.deviation)
    message: Unknown.
)"),
           together({hourly("yard", "2026-11-01T06:00:00Z", 24 * 60, [](int) { return -5; }),
                     {gauged_by_hand("2026-11-03T12:00:00Z", "38 psi"),
                      command("2026-12-20T12:00:00Z", "act", R"({"gear":"left_tire","act":"valve_checked"})")}}));
  EXPECT_EQ(told(lived, {EventKind::alarm_raised, EventKind::alarm_cleared}),
            (std::vector<std::string>{"2026-11-03T12:00:00Z alarm_raised off"}));
}

}  // namespace
}  // namespace overwinter
