// How long until the battery wants charging goes on from what is known last: a temperature nobody reads any more, and a
// charge that is held no longer.
#include <gtest/gtest.h>

#include "tests/rules/gear/battery_rig.h"

namespace overwinter {
namespace {

constexpr double seconds_of_a_day = 86400;

struct WithALoad : BatteryRig {
  Instant read = charged_on + 2 * one_day;
  WithALoad() { around.set_parameter("parasitic_load", 0.05); }
  double days_left() const { return value("time_until_recharge") / seconds_of_a_day; }
};

// 12.59 V at 0 degC are 12.62 V at 25 degC, 96 % of the trade table of 12.65 V full and 12.45 V at 75 %. 50 mA of 85 Ah
// draw 1.41 % a day, and half a percent a month goes by itself: 15 days.
TEST(BatteryForecast, GoesOnFromTheLastKnownTemperature) {
  WithALoad rig;
  rig.by_hand(rig.read, 12.59, 0);
  const double at_first = rig.days_left();
  EXPECT_NEAR(at_first, 14.5, 0.8);
  const double plus_minus = rig.around.plus_minus("time_until_recharge");
  rig.around.silence_place(PlaceQuantity::temperature);
  for (int passed = 1; passed < 40; ++passed) {
    rig.go(rig.read + passed * one_day);
    rig.step();
    ASSERT_TRUE(rig.around.value("time_until_recharge")) << passed;
    ASSERT_NEAR(rig.days_left(), std::max(0.0, at_first - passed), 0.01) << passed;
    ASSERT_GT(rig.around.plus_minus("time_until_recharge"), plus_minus) << passed;
  }
}

// Without a load only self-discharge counts, which doubles each 10 K: a temperature that is not known makes it unsure.
TEST(BatteryForecast, IsUnsureWhereItsTemperatureDecides) {
  BatteryRig rig;
  rig.by_hand(charged_on + 2 * one_day, 12.59, 0);
  rig.around.silence_place(PlaceQuantity::temperature);
  rig.go(charged_on + 4 * one_day);
  EXPECT_GT(rig.around.plus_minus("time_until_recharge"), 0.9 * rig.value("time_until_recharge"));
}

// Of what is left, ever the same share: self-discharge asks for no capacity. A load's milliamperes do.
TEST(BatteryForecast, OfSelfDischargeAloneNeedsNoCapacity) {
  BatteryRig rig;
  rig.around.clear_parameter("capacity");
  rig.by_hand(charged_on + 2 * one_day, rested(0.9, 20), 20);
  EXPECT_NEAR(rig.value("time_until_recharge") / seconds_of_a_day, std::log(0.90 / 0.75) / self_discharge(20), 0.5);
  rig.around.set_parameter("parasitic_load", 0.05);
  rig.step();
  EXPECT_FALSE(rig.around.value("time_until_recharge"));
  EXPECT_EQ(rig.around.because("time_until_recharge"), "parasitic_load needs capacity");
}

TEST(BatteryForecast, ExplainsWhyNoTimeIsLeft) {
  BatteryRig rig;
  rig.by_hand(charged_on + 2 * one_day, rested(0.5, 5), 5);
  ASSERT_EQ(rig.value("time_until_recharge"), 0);
  Explanation why;
  rig.model.explain(rig.around, index_of(BatteryQuantity::time_until_recharge), rig.around.time, why);
  ASSERT_FALSE(why.calculation.empty());
  EXPECT_EQ(why.calculation.back(),
            "it is to be recharged at 75 % (recharge_below) and is 50 % charged: no time is left");
}

TEST(BatteryForecast, OutlivesTheChargeThatASilentSensorGave) {
  WithALoad rig;
  const Instant t = rig.steady(rig.read, one_day, 12.59, 0);
  const double at_first = rig.days_left();
  rig.around.silence("voltage");
  rig.go(t + 9 * one_day);
  rig.step();
  EXPECT_FALSE(rig.around.value("state_of_charge"));
  EXPECT_NEAR(rig.days_left(), at_first - 9, 0.3);
}

TEST(BatteryForecast, IsNoneWhereSomethingMayHaveChargedItSince) {
  WithALoad powered;
  powered.by_hand(powered.read, 12.59, 0);
  powered.power(true);
  powered.step();
  powered.go(powered.read + 9 * one_day);
  EXPECT_FALSE(powered.around.value("time_until_recharge"));
  WithALoad charged;
  Instant t = charged.steady(charged.read, one_day, 12.59, 0);
  t = charged.steady(t + one_hour, 8 * one_day, 13.5, 0);
  EXPECT_FALSE(charged.around.value("time_until_recharge"));
}

}  // namespace
}  // namespace overwinter
