// The numbers of an explanation are those that its texts were printed from, and its inputs are enough to reckon the
// expected value anew.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "rules/engine/engine.h"
#include "rules/engine/entity_view.h"
#include "rules/engine/explain.h"
#include "tests/rules/engine/story.h"
#include "tests/winter/replay_in_memory.h"

namespace overwinter {
namespace {

// Filled on the day of the reading, with dry nitrogen: neither seepage nor water moves what it should read.
constexpr std::string_view explain_numbers_site = R"(
season: {lay_up: 2026-10-31}
places:
  outdoors: {temperature: {topic: yard, unit: degC}, station_pressure: {topic: baro, unit: hPa}}
gear:
  left:
    kind: tire
    place: outdoors
    filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-12-01, station_pressure: 990 hPa}
    fill_gas: dry_nitrogen
    pressure: {topic: left, pointer: /p, unit: kPa}
    temperature: {topic: left, pointer: /t, unit: degC}
  right:
    kind: tire
    place: outdoors
    filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-12-01}
    pressure: by_hand
  hatch: {kind: door_or_vent, place: outdoors, should_be: closed, open: {topic: hatch}}
rules_from: []
)";

constexpr std::string_view explained_day = R"(
  12-01 17:00 baro 985
  12-01 17:00 yard -10
  12-01 17:00 hatch open
  12-01 17:00 left {"p":305.2,"t":-11}
  12-01 18:00 yard -10
)";

class ExplainNumbers : public testing::Test {
 protected:
  void live(std::string_view story, std::string_view with = explain_numbers_site) {
    plan_ = plan_of(with);
    const std::vector<Input> inputs = inputs_of(plan_, capture_of(story));
    engine_.emplace(plan_, inputs.front().at);
    for (const Input& input : inputs) (void)engine_->step(input);
  }
  ExplainedQuantity of(std::string_view gear, std::string_view quantity) const {
    for (ExplainedQuantity& q : explain(engine_->world(), plan_->find_entity(gear)).quantities) {
      if (q.name == quantity) return q;
    }
    ADD_FAILURE() << "no " << gear << " " << quantity;
    return {};
  }
  static AskedInput input(const ExplainedNumbers& numbers, std::string_view name) {
    const auto found = std::ranges::find(numbers.inputs, name, &AskedInput::name);
    if (found != numbers.inputs.end()) return *found;
    ADD_FAILURE() << "no input " << name;
    return {};
  }

  std::shared_ptr<const Plan> plan_;
  std::optional<Engine> engine_;
};

// Gay-Lussac's law on absolute pressures, 0 degC = 273.15 K (SI Brochure, 9th edition, 2.3.1).
TEST_F(ExplainNumbers, OfATireAreEnoughToReckonItAnew) {
  live(explained_day);
  const ExplainedNumbers n = of("left", "pressure").numbers;
  ASSERT_TRUE(n.value && n.expected.known());
  EXPECT_NEAR(*n.value, 305'200, 1);
  EXPECT_EQ(format_rfc3339(n.at), "2026-12-01T17:00:00Z");
  EXPECT_EQ(n.source, "sensor left");
  const double filled = input(n, "left.filled.pressure").value + input(n, "left.filled.station_pressure").value;
  const double warmth =
      (input(n, "left.temperature").value + 273.15) / (input(n, "left.filled.temperature").value + 273.15);
  EXPECT_NEAR(filled * warmth - input(n, "site.station_pressure").value, n.expected.value, 0.002 * n.expected.value);
  EXPECT_GT(n.expected.plus_minus, 0);
}

TEST_F(ExplainNumbers, NameTheSourceAndTimeOfEachInput) {
  live(explained_day);
  const ExplainedNumbers n = of("left", "pressure").numbers;
  EXPECT_EQ(input(n, "left.temperature").source, "sensor left");
  EXPECT_EQ(format_rfc3339(input(n, "left.temperature").at), "2026-12-01T17:00:00Z");
  EXPECT_EQ(input(n, "site.station_pressure").source, "sensor baro");
  EXPECT_FALSE(input(n, "site.station_pressure").assumed);
  EXPECT_EQ(format_rfc3339(input(n, "site.station_pressure").at), "2026-12-01T17:00:00Z");
  EXPECT_EQ(input(n, "left.filled.pressure").source, "site file");
  EXPECT_TRUE(n.missing.empty());
}

// Air at -20 degC at 2500 m with the standard's lapse of 6.5 K/km below it weighs more than the standard's: by the
// barometric formula of ISO 2533, with its constants, 1013.25 hPa at sea level are 730.6 hPa there, where the standard
// itself has 746.8 hPa.
TEST_F(ExplainNumbers, StationPressureFromSeaLevelAllowsForColdAirBelow) {
  Plan mountain = *plan_of(R"(
places:
  outdoors: {temperature: {topic: yard, unit: degC}, sea_level_pressure: {topic: baro, unit: hPa}}
rules_from: []
)");
  mountain.altitude = 2500;
  plan_ = std::make_shared<const Plan>(std::move(mountain));
  const std::vector<Input> inputs = inputs_of(plan_, capture_of("12-01 17:00 yard -20\n12-01 17:00 baro 1013.25\n"));
  engine_.emplace(plan_, inputs.front().at);
  for (const Input& input : inputs) (void)engine_->step(input);

  constexpr double lapse = 0.0065, gravity = 9.80665, gas_constant = 287.05287;  // ISO 2533: K/m, m/s2, J/(kg K)
  const double there = 253.15, at_sea_level = there + lapse * 2500;
  const double actual = 101'325 * std::pow(there / at_sea_level, gravity / (gas_constant * lapse));
  ASSERT_NEAR(actual, 73'060, 20);

  const Sample pressure = EntityView::to_ask(engine_->world(), plan_->outdoors).station_pressure_at(inputs.back().at);
  EXPECT_NEAR(pressure.value, 74'680, 20);  // ISO 2533, table of the standard atmosphere at 2500 m (from memory)
  EXPECT_LE(std::abs(pressure.value - actual), pressure.plus_minus) << "± " << pressure.plus_minus;
  EXPECT_LT(pressure.plus_minus, 4'000) << "no more than 5 % at 2500 m, k = 2";
}

TEST_F(ExplainNumbers, TellWhatWasToldByAnAct) {
  live(std::string(explained_day) +
       R"(12-01 19:00 do/act {"gear":"left","act":"filled","pressure":"50 psi","temperature":"-10 degC"}
  12-01 19:10 left {"p":340,"t":-10})");
  const ExplainedNumbers n = of("left", "pressure").numbers;
  EXPECT_EQ(input(n, "left.filled.pressure").source, "act");
  EXPECT_EQ(input(n, "left.fill_gas").source, "site file");
}

TEST_F(ExplainNumbers, TellWhatASealedGaugeReadsAgainst) {
  std::string sealed(explain_numbers_site);
  sealed.replace(sealed.find("unit: kPa}"), 10, "unit: kPa, reads: sealed, reference: 100 kPa}");
  live(explained_day, sealed);
  EXPECT_EQ(input(of("left", "pressure").numbers, "left.pressure.reference").value, 100'000);
}

TEST_F(ExplainNumbers, TellWhatIsAssumed) {
  live(std::string(explained_day) + R"(12-01 18:10 do/record {"gear":"right","quantity":"pressure","value":"44 psi"})");
  const ExplainedNumbers n = of("right", "pressure").numbers;
  EXPECT_EQ(n.source, "by hand");
  EXPECT_TRUE(input(n, "right.fill_gas").assumed);
  EXPECT_EQ(input(n, "right.fill_gas").source, "default");
}

TEST_F(ExplainNumbers, NameWhatIsMissing) {
  live(std::string("12-01 17:00 baro 985\n") +
       R"(12-01 18:10 do/record {"gear":"right","quantity":"pressure","value":"44 psi"})");
  const ExplainedNumbers n = of("right", "pressure").numbers;
  EXPECT_FALSE(n.expected.known());
  EXPECT_NE(std::ranges::find(n.missing, "outdoors.temperature"), n.missing.end());
}

// A pressure that was read, at nobody knows what temperature.
TEST_F(ExplainNumbers, ARuleThatCannotBeDecidedNamesTheReasonOfTheExpectedValue) {
  std::string ruled(explain_numbers_site);
  ruled.replace(ruled.find("rules_from: []"), 14, "rules_from: [standard]");
  const auto undecided = [&](std::string_view story) {
    live(story, ruled);
    for (const ExplainedAlarm& alarm : explain(engine_->world(), plan_->find_entity("right")).alarms) {
      if (alarm.rule == "tire_below_expected") return alarm.undecided;
    }
    return std::string("no such rule");
  };
  EXPECT_EQ(undecided("12-01 17:00 baro 985\n"), "right pressure is not known: no reading yet");
  EXPECT_EQ(undecided(std::string("12-01 17:00 baro 985\n") +
                      R"(12-01 18:10 do/record {"gear":"right","quantity":"pressure","value":"44 psi"})"),
            "what right pressure should read is not known: "
            "the temperature of the tire, or of its place, is not known at that instant");
}

TEST_F(ExplainNumbers, AreThoseThatTheTextsWerePrintedFrom) {
  live(explained_day);
  const ExplainedQuantity q = of("left", "pressure");
  EXPECT_EQ(q.value, print_value(*q.numbers.value, q.numbers.type, Shown::tire_pressure, DisplayUnits::metric,
                                 plan_->zone, engine_->now()));
  EXPECT_EQ(q.expected, print_with_uncertainty(q.numbers.expected.value, q.numbers.expected.plus_minus, q.numbers.type,
                                               Shown::tire_pressure, DisplayUnits::metric));
}

// Asking changes nothing: the state is the same byte for byte.
TEST_F(ExplainNumbers, LeaveTheWorldAsItIs) {
  live(explained_day);
  const std::string before = engine_->snapshot();
  for (std::uint32_t e = 0; e < plan_->entities.size(); ++e) (void)explain(engine_->world(), e);
  EXPECT_EQ(engine_->snapshot(), before);
}

// The thermometer spoke half an hour before the gauge and half an hour after it: the verdict knew the first alone.
TEST_F(ExplainNumbers, SayWhereAReadingThatCameLaterMovesTheCalculation) {
  constexpr std::string_view apart = R"(
season: {lay_up: 2026-10-31}
places: {outdoors: {temperature: {topic: yard, unit: degC}}}
gear:
  left:
    kind: tire
    place: outdoors
    filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-12-01}
    pressure: {topic: left, unit: kPa}
    temperature: {topic: inside, unit: degC}
rules_from: []
)";
  const std::string story = "12-01 17:00 inside -11\n12-01 17:30 left 305.2\n";
  live(story, apart);
  const std::string worked_out = "was worked out when the reading came";
  EXPECT_EQ(of("left", "pressure").calculation.front().find(worked_out), std::string::npos);
  live(story + "12-01 18:00 inside -1\n", apart);
  EXPECT_NE(of("left", "pressure").calculation.front().find(worked_out), std::string::npos)
      << of("left", "pressure").calculation.front();
}

}  // namespace
}  // namespace overwinter
