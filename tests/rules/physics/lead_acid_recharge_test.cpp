#include "rules/physics/lead_acid_recharge.h"

#include <gtest/gtest.h>

namespace overwinter {
namespace {

struct RechargeVoltageRow {
  double at_25, celsius, millivolts_per_kelvin, volts;
};

// Linear compensation of six cells, independent recomputation; the last row is a maker's published example (Trojan:
// 14.60 V at 80 degF is 14.77 V at 70 degF) at that maker's 28 mV per cell and 10 degF.
constexpr RechargeVoltageRow recharge_voltage_rows[] = {
    {14.4, 0, -5, 15.150},
    {14.8, -10, -5, 15.850},
    {13.3, 10, -3, 13.570},
    {13.5, 35, -5, 13.200},
    {14.1, -20, -5, 15.450},
    {13.2, 25, -3, 13.200},
    {14.60, 25 - 10 / 1.8, -5.04, 14.768},
};

TEST(ChargeVoltage, RisesInTheCold) {
  for (const auto& row : recharge_voltage_rows) {
    const auto volts = charge_voltage(Voltage(row.at_25), Temperature(row.celsius),
                                      VoltagePerKelvin(row.millivolts_per_kelvin / 1000));
    ASSERT_TRUE(volts);
    EXPECT_NEAR(volts->value, row.volts, 0.0006);
  }
}

TEST(ChargeVoltage, HasNoValueForAPositiveCoefficient) {
  EXPECT_FALSE(charge_voltage(Voltage(14.4), Temperature(0), VoltagePerKelvin(0.005)));
  EXPECT_FALSE(charge_voltage(Voltage(14.4), Temperature(0), VoltagePerKelvin(-0.030)));
  EXPECT_FALSE(charge_voltage(Voltage(28.8), Temperature(0), VoltagePerKelvin(-0.005)));
  EXPECT_FALSE(charge_voltage(Voltage(14.4), Temperature(-50), VoltagePerKelvin(-0.005)));
}

struct RechargeTimeRow {
  double ampere_hours, from_percent, to_percent, amperes, load, efficiency, hours;
};

// Charge balance, independent recomputation.
constexpr RechargeTimeRow recharge_time_rows[] = {
    {100, 50, 100, 1.5, 0, 0.85, 39.22}, {100, 80, 100, 0.75, 0, 0.85, 31.37}, {100, 50, 100, 10, 0, 0.85, 5.88},
    {100, 50, 100, 30, 1, 0.85, 3.36},   {100, 60, 95, 2, 0.3, 0.95, 21.67},   {225, 50, 100, 45, 2, 0.85, 5.16},
};

Outcome<Seconds> time_for(const RechargeTimeRow& row) {
  return charge_time(Charge(row.ampere_hours * 3600), Share(row.from_percent / 100), Share(row.to_percent / 100),
                     Current(row.amperes), Current(row.load), Share(row.efficiency));
}

TEST(ChargeTime, ReproducesTheRecomputation) {
  for (const auto& row : recharge_time_rows) {
    const auto time = time_for(row);
    ASSERT_TRUE(time);
    EXPECT_NEAR(time->value / 3600, row.hours, 0.006) << row.amperes << " A";
  }
}

TEST(ChargeTime, HasNoValueWhereTheLoadEatsTheCurrent) {
  EXPECT_FALSE(time_for({100, 50, 100, 1, 1, 0.85, 0}));
  EXPECT_FALSE(time_for({100, 50, 100, 20, 9, 0.85, 0}));  // enough to 80 %, not for the taper
  EXPECT_TRUE(time_for({100, 50, 80, 20, 9, 0.85, 0}));
}

TEST(ChargeTime, IsNothingForAFullBattery) {
  EXPECT_EQ(time_for({100, 100, 100, 10, 0, 0.85, 0})->value, 0);
  EXPECT_EQ(time_for({100, 90, 80, 10, 0, 0.85, 0})->value, 0);
}

TEST(ChargeTime, ShortensWithEachAmpereUntilTheTaper) {
  double previous = 1e9;
  for (double amperes = 0.5; amperes <= 10; amperes += 0.5) {
    const auto time = time_for({100, 20, 100, amperes, 0.1, 0.85, 0});
    ASSERT_TRUE(time);
    EXPECT_LT(time->value, previous);
    previous = time->value;
  }
}

TEST(ChargeTime, HasNoValueOutsideItsRange) {
  EXPECT_FALSE(time_for({0, 50, 100, 10, 0, 0.85, 0}));
  EXPECT_FALSE(time_for({100, 50, 101, 10, 0, 0.85, 0}));
  EXPECT_FALSE(time_for({100, 50, 100, 10, -1, 0.85, 0}));
  EXPECT_FALSE(time_for({100, 50, 100, 10, 0, 0.2, 0}));
}

}  // namespace
}  // namespace overwinter
