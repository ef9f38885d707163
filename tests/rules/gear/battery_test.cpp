#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <string>
#include <utility>

#include "tests/rules/gear/battery_rig.h"
#include "tests/rules/gear/saved_model.h"

namespace overwinter {
namespace {

double garage(Instant t) {
  const double days = to_seconds(t - charged_on) / 86400;
  constexpr double turn = 2 * std::numbers::pi;
  return 2 - 7 * std::sin(turn * days / 180) + 3 * std::sin(turn * days / 9) + 2 * std::sin(turn * days);
}

TEST(LeadAcidBatteryKind, ListsItsNamesInTheOrderOfItsIndexes) {
  const KindSpec& kind = lead_acid_battery_kind();
  EXPECT_EQ(kind.quantity("specific_gravity"), index_of(BatteryQuantity::specific_gravity));
  EXPECT_EQ(kind.quantity("charger_verdict"), index_of(BatteryQuantity::charger_verdict));
  EXPECT_EQ(kind.quantity("cranking_capacity"), index_of(BatteryQuantity::cranking_capacity));
  EXPECT_EQ(kind.quantity("assumed_temperature"), index_of(BatteryQuantity::assumed_temperature));
  EXPECT_EQ(kind.parameter("charger.sleeps_until"), index_of(BatteryParameter::charger_sleeps_until));
  EXPECT_EQ(kind.parameter("voltage_table"), index_of(BatteryParameter::voltage_table));
  EXPECT_EQ(kind.quantities.size(), 18U);
  EXPECT_EQ(kind.parameters.size(), 9U);
}

// 1.75 V a cell is the end of discharge in BCI and IEC 60896 tables (from memory); 9.10 V lies below it, 11.0 V not.
TEST(Battery, BelowTenAndAHalfVoltsIsDeadAtAnyTemperature) {
  const auto read = [](double volts) {
    BatteryRig rig;
    rig.go(charged_on + 20 * one_day);
    rig.around.read("voltage", volts, {}, true);
    rig.step();
    const Sample reading{volts, 0.06, rig.around.time, true, true};
    const Expectation expected = rig.model.expected(rig.around, voltage_index, rig.around.time, false);
    return std::pair(rig.around.value("state_of_charge"),
                     rig.model.verdict_in_words(rig.around, voltage_index, reading, expected));
  };
  const auto [charge, words] = read(9.1);
  EXPECT_EQ(charge, 0.0);
  EXPECT_TRUE(words.starts_with("dead")) << words;
  const auto [no_charge, no_words] = read(11.0);
  EXPECT_EQ(no_charge, std::nullopt);
  EXPECT_TRUE(no_words.starts_with("not judged")) << no_words;
}

// A rested battery at 12.45 V and 25 degC is 75 % charged (trade table): at its limit, not below it, whatever its
// cells, of 2.075 V each. And 2.20 V a cell charges (common practice, no source).
TEST(Battery, AtALimitItIsNotBelowItWhateverItsCells) {
  // Volts per cell as a meter shows them: in decimals.
  const auto shown = [](double of_a_cell, int cells) { return std::round(of_a_cell * cells * 1e4) / 1e4; };
  for (int cells = 1; cells <= 12; ++cells) {
    BatteryRig rig;
    rig.around.set_parameter("cells", cells);
    const double rested_at = shown(2.075, cells);
    rig.steady(charged_on + 20 * one_day, 24 * one_hour, rested_at, 25);
    EXPECT_EQ(rig.around.value("state_of_charge"), 0.75) << cells;
    const Sample reading{rested_at, 0.06, rig.around.time, true, false};
    const Expectation expected = rig.model.expected(rig.around, voltage_index, rig.around.time, false);
    const std::string words = rig.model.verdict_in_words(rig.around, voltage_index, reading, expected);
    EXPECT_TRUE(words.starts_with("fine")) << cells << ' ' << words;
    EXPECT_FALSE(rig.around.is_true("charging")) << cells;
    rig.sensor(rig.around.time + one_hour, shown(2.2, cells), 25);
    EXPECT_TRUE(rig.around.is_true("charging")) << cells;
  }
}

// Common practice, no source: a worse meter makes nothing surer.
TEST(Battery, TheWorseItsMeterTheLessSureItsCharge) {
  const auto charge_plus_minus = [](double volts, double of_meter) {
    BatteryRig rig;
    rig.go(charged_on + 20 * one_day);
    rig.around.read("temperature", 25);
    rig.around.read("voltage", volts, of_meter, true);
    rig.step();
    EXPECT_TRUE(rig.around.value("state_of_charge")) << volts;
    return rig.around.plus_minus("state_of_charge");
  };
  for (const double volts : {10.6, 11.9, 12.2, 12.45, 12.65, 12.85, 12.9}) {
    double before = 0;
    for (int hundredths = 0; hundredths <= 2000; hundredths += 5) {
      const double plus_minus = charge_plus_minus(volts, hundredths / 100.0);
      ASSERT_GE(plus_minus, before) << volts << " V, " << hundredths << " x 10 mV";
      before = plus_minus;
    }
    EXPECT_NEAR(before, std::hypot(0.2, 0.5), 1e-9) << "a meter that may show anything";
  }
}

// A clean winter: self-discharge alone, 5 months in a cold garage, 10 mV resolution.
TEST(Battery, ACleanWinterStaysWithinWhatIsExpected) {
  BatteryRig rig;
  double charge = 1;
  int known = 0;
  for (int i = 1; i < 150 * 24; ++i) {
    const Instant t = charged_on + i * one_hour;
    const double celsius = garage(t);
    charge *= std::exp(-0.9 * self_discharge(celsius) / 24);
    const double surface = 0.6 * std::exp(-i / 6.0);
    rig.go(t);
    rig.around.place_reads(PlaceQuantity::temperature, celsius);
    const double volts = std::round((rested(charge, celsius) + surface) * 100) / 100;
    rig.around.read("voltage", volts);
    const Expectation e = rig.model.expected(rig.around, voltage_index, t, false);
    if (e.known()) {
      ++known;
      ASSERT_LE(std::abs(volts - e.value), e.plus_minus) << i;
    }
    rig.step();
    if (i > 48) {
      ASSERT_TRUE(rig.around.is_true("at_rest")) << i;
      ASSERT_NEAR(rig.value("state_of_charge"), charge, 0.05) << i;
      ASSERT_GT(rig.value("freezing_margin"), 15) << i;
    }
  }
  EXPECT_GT(known, 140 * 24);
  EXPECT_TRUE(rig.around.questions.empty());
  EXPECT_GT(rig.value("state_of_charge"), 0.75);
  EXPECT_GT(rig.value("time_until_recharge"), 0);
}

TEST(Battery, SurfaceChargeIsNotRestAndIsNotCompared) {
  BatteryRig rig;
  rig.steady(charged_on + one_hour, 5 * one_hour, 13.1, 5);
  EXPECT_FALSE(rig.around.is_true("at_rest"));
  EXPECT_FALSE(rig.around.value("state_of_charge"));
  const Expectation e = rig.model.expected(rig.around, voltage_index, rig.around.time, false);
  EXPECT_FALSE(e.known());
  // Decaying by 40 mV an hour below 12.9 V: still no rest.
  Instant t = rig.around.time;
  for (int i = 0; i < 12; ++i) rig.sensor(t += 30 * one_minute, 12.88 - 0.02 * i, 5);
  EXPECT_FALSE(rig.around.is_true("at_rest"));
}

// Within 5 mV/h, but a swing of the garage explains 1.2 mV/K more.
TEST(Battery, RestIsSixQuietHours) {
  BatteryRig rig;
  Instant t = charged_on + 3 * one_day;
  rig.steady(t, 5 * one_hour, 12.6, 5);
  EXPECT_FALSE(rig.around.is_true("at_rest")) << "not yet six hours";
  rig.steady(t + 5 * one_hour + 30 * one_minute, 3 * one_hour, 12.6, 5);
  EXPECT_TRUE(rig.around.is_true("at_rest"));
  BatteryRig falling;
  for (int i = 0; i < 24; ++i) falling.sensor(t + i * 30 * one_minute, 12.6 - 0.006 * i / 2, 5);
  EXPECT_FALSE(falling.around.is_true("at_rest")) << "6 mV an hour";
  BatteryRig slower;
  for (int i = 0; i < 24; ++i) slower.sensor(t + i * 30 * one_minute, 12.6 - 0.004 * i / 2, 5);
  EXPECT_TRUE(slower.around.is_true("at_rest")) << "4 mV an hour";
  BatteryRig loaded;
  loaded.around.read("current", -2.0);
  loaded.steady(t, 12 * one_hour, 12.6, 5);
  EXPECT_FALSE(loaded.around.is_true("at_rest")) << "2 A of 85 Ah";
}

TEST(Battery, ARunDownBatteryIsSeenWithWhatItsAcidStands) {
  BatteryRig rig;
  rig.around.set_parameter("charger.current", 1.5);
  Instant t = charged_on + 20 * one_day;
  t = rig.steady(t, 24 * one_hour, 12.0 - 0.0012 * 35, -10);
  // 12.00 V at 25 degC: 12.00 / 6 - 0.845 = 1.155 (handbooks), which freezes near -16 degC (US Army TM 5-1185: -15 degC
  // at 1.150, -26.7 degC at 1.200).
  EXPECT_NEAR(rig.value("estimated_specific_gravity"), 1.155, 0.001);
  EXPECT_NEAR(rig.value("electrolyte_freezing_point"), -16.2, 0.3);
  EXPECT_NEAR(rig.value("freezing_margin"), 6.2, 0.6);
  EXPECT_NEAR(rig.value("state_of_charge"), 0.16, 0.01);  // trade table: 11.89 V 0 %, 12.06 V 25 %
  EXPECT_EQ(rig.value("time_until_recharge"), 0);
  EXPECT_GT(rig.value("charge_time"), 40 * 3600.0);
  const Expectation e = rig.model.expected(rig.around, voltage_index, t, false);
  ASSERT_TRUE(e.known());
  EXPECT_LT(12.0 - 0.0012 * 35, e.value - e.plus_minus);
  rig.steady(t + 30 * one_minute, 30 * one_hour, 12.0 - 0.0012 * 45, -20);
  EXPECT_LT(rig.value("freezing_margin"), 0);
  rig.steady(rig.around.time + 30 * one_minute, 20 * one_hour, 12.0 - 0.0012 * 22, 3);
  EXPECT_LT(rig.value("freezing_margin"), 0) << "it may have frozen last night";
}

TEST(Battery, TheChargeIsHeldForSevenDaysWithoutRest) {
  BatteryRig rig;
  Instant t = rig.steady(charged_on + 5 * one_day, 24 * one_hour, 12.5, 20);
  const double charge = rig.value("state_of_charge");
  EXPECT_NEAR(charge, 0.82, 0.02);
  t = rig.steady(t + one_hour, 6 * one_day, 13.5, 20);
  EXPECT_EQ(rig.value("state_of_charge"), charge);
  EXPECT_TRUE(rig.around.is_true("charging"));
  rig.steady(t + one_hour, 2 * one_day, 13.5, 20);
  EXPECT_FALSE(rig.around.value("state_of_charge"));
}

TEST(Battery, AFailedChargerIsFoundAndAWorkingOneIsNot) {
  BatteryRig dead;
  dead.power(false);
  Instant t = dead.steady(charged_on + 5 * one_day, 24 * one_hour, 12.4, 10);
  EXPECT_EQ(dead.charger(), word(ChargerVerdict::no_power));
  dead.power(true);
  dead.steady(t + 10 * one_minute, one_hour, 12.4, 10);
  EXPECT_EQ(dead.charger(), word(ChargerVerdict::too_early));
  dead.steady(dead.around.time + 10 * one_minute, 14 * one_hour, 12.4, 10);
  EXPECT_EQ(dead.charger(), word(ChargerVerdict::failed));

  BatteryRig works;
  works.power(false);
  t = works.steady(charged_on + 5 * one_day, 24 * one_hour, 12.4, 10);
  works.power(true);
  works.steady(t + 10 * one_minute, 40 * one_hour, 13.6, 10);
  EXPECT_EQ(works.charger(), word(ChargerVerdict::charging));
  EXPECT_EQ(works.chargers.count(word(ChargerVerdict::failed)), 0U);
  // It was full after 12 h at 13.2 V and more: what to expect begins there.
  works.power(false);
  works.steady(works.around.time + 10 * one_minute, 40 * one_hour, 12.64, 10);
  const Expectation e = works.model.expected(works.around, voltage_index, works.around.time, false);
  ASSERT_TRUE(e.known()) << e.unknown_because;
  EXPECT_NEAR(e.value, 12.63, 0.02);
}

TEST(Battery, AChargerMaySleepAboveItsVoltageButNotBelow) {
  BatteryRig sleeps;
  sleeps.power(false);
  Instant t = sleeps.steady(charged_on + 5 * one_day, 24 * one_hour, 12.66, 10);
  sleeps.power(true);
  sleeps.steady(t + 10 * one_minute, 80 * one_hour, 12.66, 10);
  EXPECT_EQ(sleeps.charger(), word(ChargerVerdict::waiting));
  EXPECT_EQ(sleeps.chargers.count(word(ChargerVerdict::failed)), 0U);
  BatteryRig below;
  below.power(false);
  t = below.steady(charged_on + 5 * one_day, 24 * one_hour, 12.55, 10);
  below.power(true);
  below.steady(t + 10 * one_minute, 20 * one_hour, 12.55, 10);
  EXPECT_EQ(below.charger(), word(ChargerVerdict::waiting));
  below.steady(below.around.time + 10 * one_minute, 10 * one_hour, 12.55, 10);
  EXPECT_EQ(below.charger(), word(ChargerVerdict::failed));
}

TEST(Battery, AHandReadingIsRestedUnlessChargingSaysOtherwise) {
  BatteryRig rig;
  rig.by_hand(charged_on + 30 * one_day, 12.45, 25);
  EXPECT_NEAR(rig.value("state_of_charge"), 0.75, 0.001);
  EXPECT_TRUE(rig.around.is_true("at_rest"));
  const Sample reading{12.45, 0.06, rig.around.time, true, true};
  const Expectation e = rig.model.expected(rig.around, voltage_index, rig.around.time, false);
  EXPECT_TRUE(e.known());
  EXPECT_NE(rig.model.verdict_in_words(rig.around, voltage_index, reading, e).find("75 %"), std::string::npos);

  BatteryRig powered;
  powered.power(true);
  powered.step();
  powered.by_hand(charged_on + 30 * one_day, 12.45, 25);
  EXPECT_FALSE(powered.around.value("state_of_charge"));
  EXPECT_FALSE(powered.model.expected(powered.around, voltage_index, powered.around.time, false).known());
}

TEST(Battery, ItsStandingLossComesFromTheTrend) {
  BatteryRig rig;
  for (int half_hour = 0; half_hour < 25 * 48; ++half_hour) {
    const double charge = 0.98 - 0.01 * half_hour / 48;
    rig.sensor(charged_on + 2 * one_day + half_hour * 30 * one_minute, rested(charge, 5), 5);
  }
  EXPECT_NEAR(rig.value("standing_loss") * 86400, 0.01, 0.002);
  // 1 % a day is far more than self-discharge at 5 degC (0.09 % a day): the time to 75 % follows the trend.
  const double left = rig.value("state_of_charge") - 0.75;
  EXPECT_EQ(left <= 0, rig.value("time_until_recharge") == 0);
  BatteryRig by_hand;
  for (int week = 1; week <= 4; ++week) {
    by_hand.by_hand(charged_on + week * 7 * one_day, rested(1 - 0.02 * week, 5), 5);
  }
  EXPECT_NEAR(by_hand.value("standing_loss") * 86400, 0.02 / 7, 0.0005);
  EXPECT_NEAR(by_hand.value("time_until_recharge") / 86400, 0.17 / (0.02 / 7), 3);
}

TEST(Battery, AHydrometerNewerThanTheVoltageDecidesAboutFreezing) {
  BatteryRig rig;
  rig.by_hand(charged_on + 30 * one_day, 12.6, 0);
  rig.around.time += one_hour;
  rig.around.read("specific_gravity", 1.100, {}, true);
  rig.around.place_reads(PlaceQuantity::temperature, 0);
  rig.step();
  EXPECT_NEAR(rig.value("electrolyte_freezing_point"), -7.2, 0.1);  // US Army TM 5-1185: 19 degF
}

// 12.50 V rested are 81 % of the trade table; 1.190 is 6 x (1.190 + 0.845) = 12.21 V, 46 % (battery handbooks; from
// memory).
TEST(Battery, TellsItsChargeByTheNewerOfVoltageAndHydrometer) {
  BatteryRig rig;
  Instant t = rig.steady(charged_on + 5 * one_day, 24 * one_hour, 12.5, 25);
  EXPECT_NEAR(rig.value("state_of_charge"), 0.81, 0.01);
  rig.steady(t + 10 * one_minute, 30 * one_minute, 13.5, 25);  // a charger, for half an hour
  rig.around.read("specific_gravity", 1.190, {}, true);
  rig.step();
  EXPECT_NEAR(rig.value("state_of_charge"), 0.46, 0.01);
  EXPECT_NEAR(rig.around.plus_minus("state_of_charge"), 0.21, 0.02);  // the table's 20 %, and 0.01 of the scale
  EXPECT_EQ(rig.value("estimated_specific_gravity"), 1.190);
  t = rig.steady(rig.around.time + one_hour, 30 * one_hour, 12.5, 25);
  EXPECT_NEAR(rig.value("state_of_charge"), 0.81, 0.01) << "rested since";
  rig.go(t + one_hour);
  rig.around.set_parameter("charged.date", to_seconds(rig.around.time));
  rig.model.act(rig.around, 0, rig.around.time);
  rig.around.read_at("specific_gravity", t, 1.190, {}, true);
  rig.step();
  EXPECT_EQ(rig.value("state_of_charge"), 1) << "it was charged since";
}

// A charge of more than 12 h fills it (common practice, no source); 1.190 as above, a third of the way into the charge.
TEST(Battery, AHydrometerReadDuringAChargeSaysNothingOnceItIsFull) {
  BatteryRig rig;
  Instant t = charged_on + 30 * one_day;
  rig.steady(t, 5 * one_hour, 13.9, 10);
  rig.around.read("specific_gravity", 1.190, {}, true);
  rig.step();
  EXPECT_NEAR(rig.value("state_of_charge"), 0.46, 0.02);
  t = rig.steady(t + 5 * one_hour + 30 * one_minute, 20 * one_hour, 13.9, 10);
  EXPECT_GT(rig.around.value("state_of_charge").value_or(1), 0.9);
  rig.steady(t + 30 * one_minute, 3 * one_hour, 12.8, 10);
  EXPECT_GT(rig.around.value("state_of_charge").value_or(1), 0.9);
}

TEST(Battery, AMakersTableIsUsedAndSixVoltBlocksAreScaled) {
  BatteryRig maker;
  maker.around.set_table("voltage_table", {{11.5, 0.0}, {12.1, 0.5}, {12.7, 1.0}});
  maker.around.place_reads(PlaceQuantity::temperature, 25);
  maker.by_hand(charged_on + 30 * one_day, 12.4, 25);
  EXPECT_NEAR(maker.value("state_of_charge"), 0.75, 1e-6);
  EXPECT_NEAR(maker.model.expected(maker.around, voltage_index, maker.around.time, false).value, 12.57, 0.05);
  BatteryRig half;
  half.around.set_parameter("cells", 3);
  half.around.place_reads(PlaceQuantity::temperature, 25);
  half.by_hand(charged_on + 30 * one_day, 12.45 / 2, 25);
  EXPECT_NEAR(half.value("state_of_charge"), 0.75, 1e-6);
  EXPECT_NEAR(half.model.expected(half.around, voltage_index, half.around.time, false).value, 12.57 / 2, 0.03);
}

TEST(Battery, ARiseThatNobodyToldIsAskedAbout) {
  BatteryRig rig;
  rig.by_hand(charged_on + 30 * one_day, 12.24, 25);
  rig.by_hand(charged_on + 60 * one_day, 12.60, 25);
  EXPECT_EQ(rig.around.questions.size(), 1U);
  EXPECT_EQ(rig.around.risen_since, charged_on + 30 * one_day);
}

TEST(Battery, ARestartAtAnyPointChangesNothing) {
  BatteryRig whole;
  BatteryRig cut;
  for (int i = 0; i < 700; ++i) {
    const Instant t = charged_on + i * 90 * one_minute;
    const double celsius = garage(t);
    const bool charging = i > 300 && i < 360;
    for (BatteryRig* rig : {&whole, &cut}) {
      rig->go(t);
      rig->power(charging || i > 600);
      if (i % 97 == 5) {
        rig->by_hand(t, 12.5, celsius);
      } else {
        rig->sensor(t, charging ? 13.6 : rested(0.9 - i * 0.0003, celsius), celsius);
      }
    }
    ASSERT_NO_FATAL_FAILURE(restart_beside(cut, whole)) << i;
  }
}

// A meter that shows 10 mV makes the slope of a sinking battery come and go; the charger failed all the same.
TEST(Battery, KeepsAChargerFailedUntilItCharges) {
  BatteryRig rig;
  rig.power(false);
  Instant t = rig.steady(charged_on + one_day, 10 * one_hour, 12.40, 5);
  rig.power(true);
  bool failed = false;
  for (int i = 0; i < 72; ++i) {
    t += 30 * one_minute;
    rig.sensor(t, std::round((12.40 - 0.001 * i) * 100) / 100, 5);
    if (failed) {
      EXPECT_EQ(rig.charger(), word(ChargerVerdict::failed)) << "after " << i / 2.0 << " h";
    }
    failed = failed || rig.charger() == word(ChargerVerdict::failed);
  }
  EXPECT_TRUE(failed);
  for (int i = 0; i < 4; ++i) rig.sensor(t += 30 * one_minute, 13.6, 5);
  EXPECT_EQ(rig.charger(), word(ChargerVerdict::charging));
}

}  // namespace
}  // namespace overwinter
