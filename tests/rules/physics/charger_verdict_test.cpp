#include "rules/physics/charger_verdict.h"

#include <gtest/gtest.h>

namespace overwinter {
namespace {

struct ChargerVerdictRow {
  double volts, millivolts_per_hour, last_rested, hours_on, celsius;
  ChargerVerdict verdict;
};

ChargerWatch watch(const ChargerVerdictRow& row) {
  return {.shore_power = true,
          .shore_power_for = Seconds(row.hours_on * 3600),
          .voltage = Voltage(row.volts),
          .rise_per_hour = Voltage(row.millivolts_per_hour / 1000),
          .last_rested = Voltage(row.last_rested),
          .temperature = Temperature(row.celsius)};
}

constexpr ChargerVerdictRow asleep{12.52, 0, 12.5, 24, -5, ChargerVerdict::waiting};
constexpr ChargerVerdictRow decaying{13.05, -4, 12.7, 12, 5, ChargerVerdict::not_rising};

// Worked cases of the order of verdicts; thresholds are common practice, no source.
constexpr ChargerVerdictRow charger_verdict_rows[] = {
    {13.6, 0, 12.6, 10, 5, ChargerVerdict::charging},
    {12.45, -1.5, 12.5, 30, 0, ChargerVerdict::failed},
    asleep,
    {12.9, 15, 12.2, 1, 10, ChargerVerdict::charging},
    decaying,
    {15.6, 0, 12.6, 6, 20, ChargerVerdict::overvoltage},
    {12.4, -2, 12.4, 0.5, 5, ChargerVerdict::too_early},
    {12.52, 0, 12.5, 1.9, 5, ChargerVerdict::too_early},
    {12.52, 0, 12.5, 2.1, 5, ChargerVerdict::waiting},
    {13.19, 9, 13.3, 3, 5, ChargerVerdict::waiting},
    {13.20, 0, 13.3, 3, 5, ChargerVerdict::charging},
    {12.45, 0, 12.5, 11, 0, ChargerVerdict::waiting},
    {12.45, 0, 12.5, 13, 0, ChargerVerdict::failed},
    {12.45, 5, 12.3, 13, 0, ChargerVerdict::not_rising},  // rises: slowly, but something charges
    {15.6, 0, 12.6, 6, 0, ChargerVerdict::charging},      // compensated for the cold
    {15.85, 0, 12.6, 6, -30, ChargerVerdict::overvoltage},
};

TEST(ChargerVerdict, FollowsItsOrder) {
  for (const auto& row : charger_verdict_rows) EXPECT_EQ(charger_verdict(watch(row)), row.verdict) << row.volts << " V";
}

// A reading a day has no slope of hours, and no two days with medians of their own.
TEST(ChargerVerdict, GoesByTheSlopeOfDaysWhereNothingElseIsKnown) {
  auto w = watch({12.45, 0, 12.5, 30, 0, ChargerVerdict::failed});
  w.rise_per_hour.reset();
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::unknown);
  w.rise_of_days = Voltage(-0.0001);
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::failed);
  w.rise_of_days = Voltage(0.004);
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::waiting);
  w.voltage = Voltage(12.55);
  w.idle_for = Seconds(24 * 3600);
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::waiting);
  w.rise_of_days = Voltage(0);
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::failed);
}

TEST(ChargerVerdict, TurnsWaitingIntoFailedAfterADayThatDidNotRise) {
  auto w = watch(asleep);
  w.idle_for = Seconds(23 * 3600);
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::waiting);
  w.idle_for = Seconds(24 * 3600);
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::failed);
  w.daily_median_rose = true;
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::waiting);
}

TEST(ChargerVerdict, LetsAChargerSleepAboveItsWakingVoltage) {
  auto w = watch({12.65, 0, 12.65, 48, 5, ChargerVerdict::waiting});
  w.idle_for = Seconds(30 * 3600);
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::waiting);
  w.sleeps_until = Voltage(12.8);
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::failed);
}

// Its maker's figure, or the owner's, counts more than what is usual, also below 12.5 V.
TEST(ChargerVerdict, LetsAChargerSleepDownToALowWakingVoltage) {
  auto w = watch({12.45, 0, 12.45, 48, 5, ChargerVerdict::waiting});
  w.idle_for = Seconds(30 * 3600);
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::failed);
  w.sleeps_until = Voltage(12.3);
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::waiting);
  w.voltage = Voltage(12.29);
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::failed);
}

// 12.85 V lies above where this charger wakes: it may sleep there, whatever the battery had before.
TEST(ChargerVerdict, TurnsNotRisingIntoFailedAfterADayUnderItsWakingVoltage) {
  auto w = watch({12.85, -0.5, 12.5, 48, 5, ChargerVerdict::not_rising});
  w.sleeps_until = Voltage(12.9);
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::not_rising);
  w.idle_for = Seconds(24 * 3600);
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::failed);
  w.voltage = Voltage(12.95);
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::not_rising);
  w.voltage = Voltage(12.85);
  w.sleeps_until = Voltage(12.6);
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::not_rising);
}

// 10 K of a cold night are 12 mV (1.2 mV/K, Harned and Hamer; from memory), in 12 h 1 mV/h.
TEST(ChargerVerdict, DoesNotTakeAFallForAFailure) {
  EXPECT_EQ(charger_verdict(watch({12.70, -1.5, 12.72, 48, 5, ChargerVerdict::waiting})), ChargerVerdict::waiting);
  EXPECT_EQ(charger_verdict(watch({12.55, -1.5, 12.57, 6, 5, ChargerVerdict::waiting})), ChargerVerdict::waiting);
}

TEST(ChargerVerdict, AsksForAVoltageThatStoodUnderTheLimitForMostOfADay) {
  auto w = watch({12.35, -40, 12.7, 48, 5, ChargerVerdict::waiting});  // a pump runs
  w.idle_for = Seconds(40 * 3600);
  w.daily_median = Voltage(12.7);
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::waiting);
  w.daily_median = Voltage(12.36);
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::failed);
}

TEST(ChargerVerdict, SeesABatteryRegainItsVoltageAfterALoad) {
  auto w = watch({12.55, 60, 12.5, 48, 5, ChargerVerdict::waiting});
  w.highest_before = Voltage(12.57);
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::waiting);
  w.voltage = Voltage(12.60);
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::charging);
}

TEST(ChargerVerdict, TrustsTheRiseOfHalfADayMoreThanThatOfAnHour) {
  auto w = watch({12.3, 0, 12.2, 13, 5, ChargerVerdict::not_rising});
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::failed);
  w.rise_in_12_h = Voltage(0.005);
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::not_rising);
}

// Textbook: a slope within three of its standard errors is noise.
TEST(ChargerVerdict, TakesNoSlopeOfNoiseForCharging) {
  auto w = watch({12.55, 14, 12.52, 48, 5, ChargerVerdict::waiting});
  w.rise_of_noise = Voltage(0.015);
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::waiting);
  w.rise_of_noise = Voltage(0.013);
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::charging);
}

TEST(ChargerVerdict, IsSaidByTheDaysWhereASeldomSensorHasNoSlope) {
  auto w = watch({12.35, 0, 12.35, 48, 5, ChargerVerdict::failed});
  w.rise_per_hour.reset();
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::unknown);
  w.daily_median_rose = false;
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::failed);
  w.daily_median_rose = true;
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::waiting);
  w.voltage = Voltage(12.55);
  w.daily_median_rose = false;
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::not_rising);
  w.idle_for = Seconds(24 * 3600);
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::failed);
}

TEST(ChargerVerdict, SaysNoPowerWhenShorePowerIsOffButStillSeesOvervoltage) {
  auto w = watch(asleep);
  w.shore_power = false;
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::no_power);
  w.voltage = Voltage(16);
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::overvoltage);
}

TEST(ChargerVerdict, IsUnknownWhereAnInputIsMissing) {
  EXPECT_EQ(charger_verdict({}), ChargerVerdict::unknown);
  auto w = watch(asleep);
  w.last_rested.reset();
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::unknown);
  w = watch(asleep);
  w.rise_per_hour.reset();
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::unknown);
  w = watch(asleep);
  w.shore_power.reset();
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::unknown);
  w = watch(asleep);
  w.voltage = Voltage(15.4);
  w.temperature.reset();
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::unknown);
  w.voltage = Voltage(13.6);
  EXPECT_EQ(charger_verdict(w), ChargerVerdict::charging);
}

}  // namespace
}  // namespace overwinter
