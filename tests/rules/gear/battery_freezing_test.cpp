// A battery that was found in danger of freezing stays so until something says otherwise: not knowing thaws nothing.
// 12.00 V at -15 degC are 12.05 V at 25 degC (1.2 mV/K; Harned and Hamer 1935, from memory), a specific gravity
// of 1.163 (handbooks: V/6 - 0.845), which freezes near -18 degC (US Army TM 5-1185: -15 degC at 1.150, -26.7 degC
// at 1.200).
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "tests/rules/gear/battery_rig.h"
#include "tests/rules/gear/saved_model.h"

namespace overwinter {
namespace {

std::string explained(const BatteryRig& rig, std::string_view quantity) {
  Explanation out;
  rig.model.explain(rig.around, rig.around.quantity_index(quantity), rig.around.time, out);
  std::string text;
  for (const auto& lines : {out.calculation, out.missing}) {
    for (const std::string& line : lines) text += line + "\n";
  }
  return text;
}

// Read once at -15 degC; then nobody knows the temperature.
struct FrozenByHand : BatteryRig {
  Instant read = charged_on + 30 * one_day;
  FrozenByHand() {
    by_hand(read, 12.00, -15);
    around.silence_place(PlaceQuantity::temperature);
  }
  std::string words(double volts) const {
    const Sample reading{volts, 0.06, around.time, true, true};
    return model.verdict_in_words(around, voltage_index, reading, Expectation{0, 0, "not asked here"});
  }
};

TEST(BatteryInDangerOfFreezing, StaysSoWhileItsTemperatureIsNotKnown) {
  FrozenByHand rig;
  const double margin = rig.value("freezing_margin");
  EXPECT_NEAR(margin, 3, 1);
  for (int day = 1; day < 60; ++day) {
    rig.go(rig.read + day * one_day);
    ASSERT_EQ(rig.value("freezing_margin"), margin) << day;
    ASSERT_NEAR(rig.value("electrolyte_freezing_point"), -18, 1) << day;
  }
  EXPECT_NE(explained(rig, "freezing_margin").find("not judged since"), std::string::npos);
}

TEST(BatteryInDangerOfFreezing, IsJudgedAnewByAWarmDay) {
  FrozenByHand rig;
  rig.go(rig.read + 20 * one_day);
  rig.around.place_reads(PlaceQuantity::temperature, 4);
  rig.step();
  EXPECT_NEAR(rig.value("freezing_margin"), 22, 1);
  rig.around.silence_place(PlaceQuantity::temperature);
  rig.go(rig.read + 40 * one_day);
  EXPECT_FALSE(rig.around.value("freezing_margin")) << "safe when last seen, and not known now";
}

// Between 5 K and 7 K the alarm neither comes nor goes.
TEST(BatteryInDangerOfFreezing, IsSafeAboveSevenKelvinOnly) {
  FrozenByHand rig;
  rig.go(rig.read + 20 * one_day);
  rig.around.place_reads(PlaceQuantity::temperature, -12);
  rig.step();
  const double margin = rig.value("freezing_margin");
  EXPECT_NEAR(margin, 6, 0.9);
  rig.around.silence_place(PlaceQuantity::temperature);
  rig.go(rig.read + 40 * one_day);
  EXPECT_EQ(rig.value("freezing_margin"), margin);
}

// By how much a sensor that is less sure than the model takes it to be widens what is said. 0.3 V of six cells are 0.05
// of specific gravity (handbooks: V/6 - 0.845); 1.163 less 0.05 is 1.113, which freezes 9 K warmer (US Army TM 5-1185:
// -7.2 degC at 1.100, -15 degC at 1.150, -26.7 degC at 1.200).
TEST(BatteryInDangerOfFreezing, IsNoSurerThanItsSensors) {
  const auto read = [](double voltmeter, double thermometer) {
    BatteryRig rig;
    rig.go(charged_on + 30 * one_day);
    rig.around.read("temperature", -15, thermometer);
    rig.around.read("voltage", 12.00, voltmeter, true);
    rig.step();
    return rig;
  };
  const BatteryRig usual = read(0.06, 2);
  EXPECT_EQ(usual.around.plus_minus("assumed_temperature"), 4);
  EXPECT_EQ(usual.around.plus_minus("estimated_specific_gravity"), 0.02);
  EXPECT_EQ(usual.around.plus_minus("electrolyte_freezing_point"), 7);
  EXPECT_NEAR(usual.around.plus_minus("freezing_margin"), std::hypot(7, 4), 1e-9);
  const BatteryRig meter = read(0.3, 2);
  EXPECT_NEAR(meter.around.plus_minus("estimated_specific_gravity"), 0.05, 1e-9);
  EXPECT_NEAR(meter.around.plus_minus("electrolyte_freezing_point"), 9, 0.3);
  EXPECT_NEAR(meter.around.plus_minus("freezing_margin"), std::hypot(9, 4), 0.3);
  const BatteryRig thermometer = read(0.06, 10);
  EXPECT_EQ(thermometer.around.plus_minus("assumed_temperature"), 10);
  EXPECT_NEAR(thermometer.around.plus_minus("freezing_margin"), std::hypot(7, 10), 1e-9);
  BatteryRig hydrometer = read(0.06, 2);
  hydrometer.around.read("specific_gravity", 1.163, 0.05, true);
  hydrometer.step();
  EXPECT_EQ(hydrometer.around.plus_minus("estimated_specific_gravity"), 0.05);
  EXPECT_NEAR(hydrometer.around.plus_minus("electrolyte_freezing_point"), 9, 0.3);
}

// Ice takes no current and shows what the charger gives: that is no full battery.
TEST(BatteryInDangerOfFreezing, IsNotFullBecauseItsChargerGivesNothing) {
  BatteryRig rig;
  const Instant cold = charged_on + 30 * one_day;
  rig.around.read("current", 0);
  rig.steady(cold, 2 * one_day, 12.00, -15);
  EXPECT_LT(rig.value("freezing_margin"), 5);
  rig.power(true);
  for (Span t{}; t <= 2 * one_day; t += 30 * one_minute) {
    rig.around.read("current", 0.1);
    rig.sensor(cold + 2 * one_day + one_hour + t, 13.6, -15);
  }
  EXPECT_LT(rig.value("freezing_margin"), 5) << rig.value("state_of_charge");
}

TEST(BatteryInDangerOfFreezing, IsSafeOnceItWasCharged) {
  FrozenByHand rig;
  rig.go(rig.read + 20 * one_day);
  rig.model.act(rig.around, 0, rig.read - one_day);
  rig.step();
  EXPECT_TRUE(rig.around.value("freezing_margin")) << "charged before it was read";
  rig.model.act(rig.around, 0, rig.around.time - one_hour);
  rig.step();
  EXPECT_FALSE(rig.around.value("freezing_margin")) << "no temperature of today is known";
  EXPECT_LT(rig.value("electrolyte_freezing_point"), -40) << "full, as told";
}

TEST(BatteryInDangerOfFreezing, OutlivesSilentSensorsAndShorePower) {
  BatteryRig rig;
  Instant t = rig.steady(charged_on + 20 * one_day, one_day, 12.0, -15);
  ASSERT_LT(rig.value("freezing_margin"), 5);
  rig.around.silence_place(PlaceQuantity::temperature);
  rig.around.silence("voltage");
  rig.power(true);
  rig.go(t + 20 * one_day);
  EXPECT_LT(rig.value("freezing_margin"), 5);
  EXPECT_FALSE(rig.around.value("state_of_charge"));
}

TEST(BatteryInDangerOfFreezing, IsSaidWithEveryHandReading) {
  FrozenByHand rig;
  const auto says_so = [](const std::string& words) { return words.find("do not charge it") != std::string::npos; };
  EXPECT_TRUE(says_so(rig.words(12.0))) << rig.words(12.0);
  rig.go(rig.read + 20 * one_day);
  EXPECT_TRUE(rig.words(12.0).starts_with("not judged")) << rig.words(12.0);
  EXPECT_TRUE(says_so(rig.words(12.0))) << rig.words(12.0);
  rig.around.place_reads(PlaceQuantity::temperature, 4);
  rig.step();
  EXPECT_FALSE(says_so(rig.words(12.0))) << rig.words(12.0);
}

// At noon the air is warm, and the acid's ice of the night is still there.
TEST(BatteryInDangerOfFreezing, IsToldByTheColdestOfTheDay) {
  FrozenByHand rig;
  rig.go(rig.read + 12 * one_hour);
  rig.around.place_reads(PlaceQuantity::temperature, 4);
  rig.go(rig.read + 18 * one_hour);
  rig.around.place_reads(PlaceQuantity::temperature, 4);
  rig.step();
  EXPECT_NE(rig.words(12.0).find("do not charge it"), std::string::npos) << rig.words(12.0);
  EXPECT_EQ(rig.words(12.6).find("do not charge it"), std::string::npos) << rig.words(12.6);
}

TEST(BatteryInDangerOfFreezing, OutlivesARestart) {
  FrozenByHand rig;
  rig.go(rig.read + 20 * one_day);
  const double margin = rig.value("freezing_margin");
  const std::string bytes = saved(rig.model);
  rig.model = LeadAcidBatteryModel{};
  ASSERT_NO_FATAL_FAILURE(load_into(rig.model, bytes));
  rig.go(rig.read + 30 * one_day);
  EXPECT_EQ(rig.value("freezing_margin"), margin);
}

// A voltage without a temperature waits for one of its time, and counts once.
TEST(BatteryReadBeforeItsThermometer, IsJudgedOnceWhenTheTemperatureIsKnown) {
  BatteryRig rig;
  rig.go(charged_on + 30 * one_day);
  rig.around.read("voltage", 12.24, {}, true);
  rig.step();
  EXPECT_FALSE(rig.around.value("state_of_charge"));
  rig.around.time += 10 * one_minute;
  rig.around.place_reads(PlaceQuantity::temperature, 25);
  for (int i = 0; i < 3; ++i) rig.step();
  EXPECT_NEAR(rig.value("state_of_charge"), 0.5, 0.001);  // trade table: 12.24 V is 50 %
  const std::string bytes = saved(rig.model);
  rig.step();
  EXPECT_EQ(saved(rig.model), bytes) << "nothing waits any more";
  for (int week = 1; week <= 2; ++week) rig.by_hand(charged_on + (30 + 7 * week) * one_day, 12.24 - 0.02 * week, 25);
  EXPECT_GT(rig.value("standing_loss"), 0) << "the first of three readings";
}

TEST(BatteryReadBeforeItsThermometer, IsForgottenWhereItWasChargedSinceOrNoTemperatureCame) {
  BatteryRig charged;
  charged.go(charged_on + 30 * one_day);
  charged.around.read("voltage", 12.24, {}, true);
  charged.step();
  charged.model.act(charged.around, 0, charged.around.time + one_minute);
  charged.around.time += 10 * one_minute;
  charged.around.place_reads(PlaceQuantity::temperature, 25);
  charged.step();
  EXPECT_EQ(charged.value("state_of_charge"), 1) << "full, as told, and not as it was read before";
  BatteryRig later;
  later.go(charged_on + 30 * one_day);
  later.around.read("voltage", 12.24, {}, true);
  later.step();
  later.go(charged_on + 31 * one_day);
  later.around.place_reads(PlaceQuantity::temperature, 25);
  later.step();
  EXPECT_FALSE(later.around.value("state_of_charge")) << "a temperature of another day";
}

TEST(BatteryInDangerOfFreezing, IsNotToldByAHydrometerOfBeforeTheCharge) {
  BatteryRig rig;
  rig.go(charged_on + 30 * one_day);
  rig.around.read("specific_gravity", 1.100, {}, true);
  rig.around.place_reads(PlaceQuantity::temperature, -10);
  rig.step();
  EXPECT_LT(rig.value("freezing_margin"), 0);
  const Instant charged = rig.around.time + one_hour;
  rig.go(charged);
  rig.around.set_parameter("charged.date", to_seconds(charged));
  rig.model.act(rig.around, 0, charged);
  rig.step();
  EXPECT_GT(rig.value("freezing_margin"), 30) << "full, as told";
}

}  // namespace
}  // namespace overwinter
