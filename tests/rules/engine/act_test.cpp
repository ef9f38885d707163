// Work that changes what to expect: the newest counts, and it forgets the work before it.
#include <gtest/gtest.h>

#include <fmt/format.h>

#include "tests/rules/engine/filled_tire.h"
#include "tests/rules/engine/lived.h"

namespace overwinter {
namespace {

constexpr double psi_in_pascals = 6894.757293;
constexpr double kelvin = 273.15;

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

// A slip in the year of the site file: "a later one" would send nobody to it.
TEST(Act, SaysWhereTheSiteFileTellsOfOneThatIsStillToCome) {
  std::string next_october(of_october);
  next_october.replace(next_october.find("2026-10-24"), 10, "2027-10-24");
  const Lived lived =
      live(plan_with(tire_site(next_october)),
           together({yard(),
                     {command("2026-11-03T08:00:00Z", "act",
                              R"({"gear":"left_tire","act":"filled","pressure":"50 psi","temperature":"23 degF"})")}}));
  EXPECT_EQ(
      lived.answers.front().answer,
      "Left tire: filled, pressure 50.0 psi, temperature 23 °F. Noted; the site file's counts, of Sun Oct 24 2027, "
      "which is still to come: put that date right.");
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

}  // namespace
}  // namespace overwinter
