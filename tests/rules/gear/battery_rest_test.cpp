// A battery with a sensor of its current rests six hours after its last load, and is judged by nothing before.
#include <gtest/gtest.h>

#include <vector>

#include "tests/rules/gear/battery_rig.h"
#include "tests/rules/gear/saved_model.h"

namespace overwinter {
namespace {

// Voltage and current every quarter of an hour, counted from `from`.
struct LoadedBattery : BatteryRig {
  Instant from = charged_on + 10 * one_day;

  void quarters(int first, int last, double volts, double amperes) {
    for (int i = first; i < last; ++i) {
      go(from + i * 15 * one_minute);
      around.read("current", amperes);
      sensor(around.time, volts, 5);
    }
  }
};

// A maker's guide: at least 6 h of rest, with nothing connected, before a voltage says anything (common practice).
TEST(BatteryAtRest, ABatteryThatWorksEachHourNeverRests) {
  LoadedBattery rig;
  for (int hour = 0; hour < 72; ++hour) {
    rig.quarters(4 * hour, 4 * hour + 3, 12.35, -5);
    EXPECT_FALSE(rig.around.is_true("at_rest")) << hour;
    rig.quarters(4 * hour + 3, 4 * hour + 4, 12.58, 0);
    ASSERT_FALSE(rig.around.is_true("at_rest")) << hour;
    ASSERT_FALSE(rig.around.value("state_of_charge")) << hour;
  }
}

TEST(BatteryAtRest, BeginsSixHoursAfterTheLastLoad) {
  LoadedBattery rig;
  rig.quarters(0, 120, 12.5, 0);
  EXPECT_TRUE(rig.around.is_true("at_rest"));
  rig.quarters(120, 124, 12.5, -10);
  EXPECT_FALSE(rig.around.is_true("at_rest"));
  rig.quarters(124, 148, 12.5, 0);
  EXPECT_FALSE(rig.around.is_true("at_rest")) << "5 h 45 min after";
  rig.quarters(148, 150, 12.5, 0);
  EXPECT_TRUE(rig.around.is_true("at_rest")) << "6 h after";
}

// 12.88 V at -18 degC is 12.93 V at 25 degC (0.2 mV/K a cell, Harned and Hamer 1935; from memory): more than the 12.65
// V at which flooded cells are full (trade table), and no more than the 12.9 V from which surface charge is taken for
// one.
TEST(BatteryAtRest, AFullBatteryThatRestsInHardFrostIsFull) {
  BatteryRig rig;
  rig.steady(charged_on + 10 * one_day, one_day, 12.88, -18);
  ASSERT_TRUE(rig.around.is_true("at_rest"));
  EXPECT_EQ(rig.value("state_of_charge"), 1);
  EXPECT_GT(rig.value("freezing_margin"), 30);
}

TEST(BatteryAtRest, SoIsOneThatAPersonReadsInHardFrost) {
  BatteryRig rig;
  rig.by_hand(charged_on + 10 * one_day, 12.88, -18);
  EXPECT_EQ(rig.value("state_of_charge"), 1);
  EXPECT_GT(rig.value("freezing_margin"), 30);
}

// By a maker's table that ends at 13.0 V: 12.90 V at -25 degC is 12.96 V at 25 degC, 75 % + 25 % x 0.26 / 0.3.
TEST(BatteryAtRest, IsFullWhereTheMakersTableEnds) {
  BatteryRig rig;
  rig.around.set_table("voltage_table", {{11.8, 0.0}, {12.7, 0.75}, {13.0, 1.0}});
  rig.by_hand(charged_on + 10 * one_day, 12.90, -25);
  EXPECT_NEAR(rig.value("state_of_charge"), 0.967, 0.001);
  EXPECT_GT(rig.value("freezing_margin"), 30);
}

// C/100 of 85 Ah is 0.85 A: a gas detector and a clock stay connected all winter.
TEST(BatteryAtRest, ASteadyLoadBelowAHundredthOfItsCapacityCountsAsRest) {
  LoadedBattery rig;
  rig.quarters(0, 40, 12.5, -0.8);
  EXPECT_TRUE(rig.around.is_true("at_rest"));
  LoadedBattery more;
  more.quarters(0, 40, 12.5, -0.9);
  EXPECT_FALSE(more.around.is_true("at_rest"));
}

TEST(BatteryAtRest, TheVoltagesUnderALoadSayNothingOfItsCharge) {
  LoadedBattery rig;
  rig.quarters(0, 96, 12.35, -5);
  EXPECT_FALSE(rig.around.value("state_of_charge"));
  rig.quarters(96, 122, 12.56, 0);
  ASSERT_TRUE(rig.around.is_true("at_rest"));
  // 12.56 V + 0.024 V at 5 degC: trade table, 12.45 V 75 %, 12.65 V 100 %.
  EXPECT_NEAR(rig.value("state_of_charge"), 0.75 + 0.25 * (12.584 - 12.45) / 0.2, 0.002);
}

// A weak sun holds a deep battery 0.3 V above what it rests at, without a slope; at dusk it falls back.
TEST(BatteryAtRest, AVoltageThatAWeakSunHoldsUpIsNoRest) {
  BatteryRig rig;
  const Instant from = charged_on + 10 * one_day;
  const auto hours = [&rig, from](int first, int last, double volts) {
    for (int i = 4 * first; i < 4 * last; ++i) rig.sensor(from + i * 15 * one_minute, volts, 5);
  };
  hours(0, 9, 12.036);
  ASSERT_TRUE(rig.around.is_true("at_rest"));
  ASSERT_NEAR(rig.value("state_of_charge"), 0.25, 0.002);  // 12.06 V at 25 degC, trade table
  for (int hour = 9; hour < 17; ++hour) {
    hours(hour, hour + 1, 12.336);
    EXPECT_EQ(rig.around.is_true("at_rest"), hour == 9) << hour;  // judged when an hour is over
  }
  EXPECT_NEAR(rig.value("state_of_charge"), 0.25, 0.002);
  hours(17, 25, 12.043);
  EXPECT_TRUE(rig.around.is_true("at_rest"));
  EXPECT_NEAR(rig.value("state_of_charge"), 0.26, 0.01);
}

// A sensor of the voltage that reports every third hour: three medians after the load, not one of before.
TEST(BatteryAtRest, ASeldomSensorNeedsThreeReadingsAfterTheLoad) {
  BatteryRig rig;
  const Instant from = charged_on + 10 * one_day;
  const auto report = [&rig, from](int hour, double amperes) {
    rig.go(from + hour * one_hour);
    rig.around.read("current", amperes);
    rig.sensor(rig.around.time, 12.5, 5);
  };
  report(0, 0);
  report(3, -5);
  report(6, 0);
  report(9, 0);
  rig.go(from + 10 * one_hour);
  EXPECT_FALSE(rig.around.is_true("at_rest"));
  report(12, 0);
  rig.go(from + 13 * one_hour);
  EXPECT_TRUE(rig.around.is_true("at_rest"));
}

// Swapped at half past for a charged one: what stood on the clamps before says nothing of this one's rest. 12.60 V +
// 0.024 V at 5 degC: trade table, 12.45 V 75 %, 12.65 V 100 %.
struct SwappedBattery : BatteryRig {
  static constexpr double charge = 0.75 + 0.25 * (12.624 - 12.45) / 0.2;
  Instant swapped = steady(charged_on + 10 * one_day, 2 * one_day, 11.86, 5) + 30 * one_minute;

  void tell(Instant at) {
    around.set_parameter("charged.date", to_seconds(at));
    model.act(around, 0, at);
    step();
  }
};

TEST(BatteryAtRest, IsJudgedOnHoursSinceTheAct) {
  SwappedBattery rig;
  rig.sensor(rig.swapped, 12.60, 5);
  rig.go(rig.swapped + 6 * one_minute);
  rig.tell(rig.around.time);
  for (int i = 1; i <= 11; ++i) {
    rig.sensor(rig.swapped + i * 30 * one_minute, 12.60, 5);
    ASSERT_FALSE(rig.around.is_true("at_rest")) << i;
    ASSERT_EQ(rig.value("state_of_charge"), 1) << i << ": full, as told";
  }
  rig.steady(rig.swapped + 6 * one_hour, 2 * one_hour, 12.60, 5);
  EXPECT_TRUE(rig.around.is_true("at_rest"));
  EXPECT_NEAR(rig.value("state_of_charge"), SwappedBattery::charge, 0.002);
}

TEST(BatteryAtRest, KeepsTheHoursSinceAnActThatIsToldLater) {
  SwappedBattery rig;
  rig.steady(rig.swapped, 10 * one_hour, 12.60, 5);
  rig.tell(rig.swapped);
  EXPECT_TRUE(rig.around.is_true("at_rest"));
  EXPECT_NEAR(rig.value("state_of_charge"), SwappedBattery::charge, 0.002);
  SwappedBattery sooner;
  sooner.steady(sooner.swapped, 3 * one_hour, 12.60, 5);
  sooner.tell(sooner.swapped);
  EXPECT_FALSE(sooner.around.is_true("at_rest")) << "three hours are no rest";
  EXPECT_EQ(sooner.value("state_of_charge"), 1) << "full, as told";
}

// Charged and read at 15:30, told in this order: the reading is of the charged battery, and counts.
TEST(BatteryAtRest, IsJudgedByAHandReadingOfTheInstantOfTheAct) {
  SwappedBattery rig;
  rig.go(rig.swapped);
  rig.tell(rig.swapped);
  rig.by_hand(rig.swapped, 12.60, 5);
  EXPECT_NEAR(rig.value("state_of_charge"), SwappedBattery::charge, 0.002);
  Explanation why;
  rig.model.explain(rig.around, index_of(BatteryQuantity::state_of_charge), rig.around.time, why);
  ASSERT_FALSE(why.calculation.empty());
  EXPECT_TRUE(why.calculation.front().starts_with("12.624 V rested at 25 °C")) << why.calculation.front();
}

TEST(BatteryAtRest, AHandReadingUnderALoadIsNotOneOfARestedBattery) {
  LoadedBattery rig;
  rig.around.read("current", -5);
  rig.by_hand(charged_on + 30 * one_day, 12.3, 25);
  EXPECT_FALSE(rig.around.is_true("at_rest"));
  EXPECT_FALSE(rig.around.value("state_of_charge"));
  rig.around.read("current", 0);
  rig.step();
  rig.by_hand(rig.around.time + 5 * one_hour, 12.4, 25);
  EXPECT_FALSE(rig.around.value("state_of_charge"));
  rig.by_hand(rig.around.time + 2 * one_hour, 12.45, 25);
  EXPECT_NEAR(rig.value("state_of_charge"), 0.75, 0.001);
}

// Who clamps a meter on sees what flows then: six hours later the battery may rest (an age until rest, common
// practice).
TEST(BatteryAtRest, ALoadReadByHandIsOfItsOwnInstant) {
  LoadedBattery rig;
  rig.around.read("current", -1.2, {}, true);
  rig.step();
  const Instant read = rig.around.time;
  rig.steady(read + 30 * one_minute, 5 * one_hour, rested(0.5, 25), 25);
  EXPECT_FALSE(rig.around.is_true("at_rest"));
  rig.steady(rig.around.time, 4 * one_hour, rested(0.5, 25), 25);
  EXPECT_TRUE(rig.around.is_true("at_rest"));
  EXPECT_NEAR(rig.value("state_of_charge"), 0.5, 0.01);
}

// From a note of the morning: in the evening the battery has rested.
TEST(BatteryAtRest, ALoadReadByHandIsOfItsOwnInstantAlsoWhereItIsToldLater) {
  LoadedBattery rig;
  rig.go(rig.from);
  rig.around.place_reads(PlaceQuantity::temperature, 25);
  rig.around.read_at("current", rig.from - 10 * one_hour, -3, {}, true);
  rig.step();
  rig.around.read("voltage", rested(0.5, 25), {}, true);
  const Expectation expected = rig.model.expected(rig.around, index_of(BatteryQuantity::voltage), rig.from, true);
  EXPECT_TRUE(expected.known()) << expected.unknown_because;
}

// A load read by hand, told after its sensor had fallen silent, makes no earlier end of what the sensor saw.
TEST(BatteryAtRest, ALoadReadByHandEndsNoOtherSooner) {
  const Instant start = charged_on;
  LoadTrack load;
  load.see(true, start);
  load.see(false, start + 6 * one_hour);
  load.see(true, start + 2 * one_hour);
  load.see(false, start + 2 * one_hour);
  EXPECT_TRUE(load.within(until_rest, start + 9 * one_hour));
}

TEST(BatteryAtRest, ARestartRemembersTheLoad) {
  LoadedBattery whole;
  LoadedBattery cut;
  for (int i = 0; i < 400; ++i) {
    const double amperes = i % 97 < 9 || (i > 200 && i < 290 && i % 4 == 0) ? -5 : 0;
    for (LoadedBattery* rig : {&whole, &cut}) rig->quarters(i, i + 1, 12.5 + amperes / 50, amperes);
    ASSERT_NO_FATAL_FAILURE(restart_beside(cut, whole)) << i;
  }
}

// Its readings, at 25 degC; what it says of rest after each: 1, 0, or -1 where it cannot tell.
std::vector<int> rests_of_readings(Span every, const std::vector<double>& volts) {
  BatteryRig rig;
  std::vector<int> said;
  for (std::size_t i = 0; i < volts.size(); ++i) {
    const Instant at = charged_on + 20 * one_day + static_cast<int>(i) * every;
    rig.sensor(at, volts[i], 25);
    rig.go(at + one_hour);
    said.push_back(static_cast<int>(rig.around.value("at_rest").value_or(-1)));
  }
  return said;
}

TEST(BatterySeldomRead, RestsByTwoReadingsThatAgree) {
  for (const Span every : {6 * one_hour, 12 * one_hour, 24 * one_hour, 36 * one_hour}) {
    EXPECT_EQ(rests_of_readings(every, {12.500, 12.495, 12.492, 12.488}), (std::vector{-1, 1, 1, 1}))
        << to_seconds(every);
  }
}

// 5 mV an hour are 120 mV a day; what rose over a day was charged; above 12.9 V it charges or carries surface charge.
TEST(BatterySeldomRead, DoesNotRestWhereItsReadingsDiffer) {
  EXPECT_EQ(rests_of_readings(one_day, {12.60, 12.50, 12.37, 12.36}), (std::vector{-1, 1, 0, 1}));
  EXPECT_EQ(rests_of_readings(one_day, {12.50, 12.62, 12.62, 12.61}), (std::vector{-1, 0, 1, 1}));
  EXPECT_EQ(rests_of_readings(one_day, {12.95, 12.85, 12.80, 12.75}), (std::vector{0, 0, 1, 1}));
  EXPECT_EQ(rests_of_readings(one_day, {12.50, 13.60, 12.52, 12.51}), (std::vector{-1, 0, -1, 1}));
}

TEST(BatterySeldomRead, IsNotJudgedByReadingsTooCloseOrTooFarApart) {
  EXPECT_EQ(rests_of_readings(2 * one_hour, {12.5, 12.5, 12.5, 12.5}), (std::vector{-1, -1, -1, 1}));
  EXPECT_EQ(rests_of_readings(50 * one_hour, {12.5, 12.5, 12.5}), (std::vector{-1, -1, -1}));
}

TEST(BatterySeldomRead, DoesNotRestOverALoadThatIsSeen) {
  BatteryRig rig;
  const Instant first = charged_on + 20 * one_day;
  rig.sensor(first, 12.5, 25);
  rig.go(first + 10 * one_hour);
  rig.around.read("current", -5);
  rig.step();
  rig.go(first + 11 * one_hour);
  rig.around.read("current", 0);
  rig.step();
  rig.sensor(first + one_day, 12.45, 25);
  rig.go(first + 25 * one_hour);
  EXPECT_FALSE(rig.around.value("at_rest"));
  rig.sensor(first + 2 * one_day, 12.45, 25);
  rig.go(first + 49 * one_hour);
  EXPECT_TRUE(rig.around.is_true("at_rest"));
}

// A slip in the year of the site file: no reading is from before a charge that has not been, and whoever reads "older
// than the last full charge" looks at the meter. 12.24 V at 25 degC is half full (trade table).
TEST(BatteryRest, IsJudgedWhereTheChargeThatIsToldIsStillToCome) {
  BatteryRig rig;
  rig.around.set_parameter("charged.date", to_seconds(charged_on + 365 * one_day));
  const Instant read = rig.steady(charged_on + 20 * one_day, one_day, rested(0.5, 25), 25);
  EXPECT_TRUE(rig.around.is_true("at_rest"));
  EXPECT_NEAR(rig.value("state_of_charge"), 0.5, 0.01);
  const Expectation expected = rig.model.expected(rig.around, voltage_index, read, false);
  EXPECT_STREQ(expected.unknown_because, "the date of its full charge lies in the future (charged: {date})");
}

}  // namespace
}  // namespace overwinter
