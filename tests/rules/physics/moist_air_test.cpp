#include "rules/physics/moist_air.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <limits>
#include <optional>

namespace overwinter {
namespace {

// Humidity over ice of air with humidity rh over water: what a source of the other convention reports.
double over_ice(Temperature t, Share rh) {
  return vapor_pressure(t, rh)->value / saturation_pressure_over_ice(t)->value;
}

// Independent Python implementation: Murphy & Koop 2005 eq. 7 and 10 for saturation; ASHRAE Handbook
// Fundamentals 2017 ch. 1 eq. 3, 20, 30, 33 and 35 for the rest. Humidity over water.
struct State {
  double t, rh_percent, altitude, p;
  double e, dew;
  std::optional<double> frost, rh_ice_percent;
  double absolute_g_m3, ratio_g_kg, deficit, enthalpy_kj_kg, wet_bulb;
};
const State moist_air_states[] = {
    {20, 50, 0, 101325.0, 1169.700, 9.273, {}, {}, 8.6455, 7.2636, 1169.70, 38.556, 13.783},
    {10, 85, 0, 101325.0, 1044.019, 7.598, {}, {}, 7.9891, 6.4750, 184.24, 26.374, 8.727},
    {4, 90, 250, 98357.5, 732.210, 2.511, {}, {}, 5.7244, 4.6647, 81.36, 15.725, 3.319},
    {0, 80, 0, 101325.0, 488.970, -3.032, -2.682, {}, 3.8787, 3.0159, 122.24, 7.543, -1.154},
    {-5, 85, 0, 101325.0, 358.497, -7.126, -6.326, 89.23, 2.8968, 2.2083, 63.26, 0.472, -5.473},
    {-10, 75, 100, 100129.4, 214.840, -13.585, -12.127, 82.66, 1.7690, 1.3373, 71.61, -6.740, -10.566},
    {-18, 80, 0, 101325.0, 119.109, -20.605, -18.503, 95.35, 1.0115, 0.7320, 29.78, -16.302, -18.083},
    {-25, 70, 1600, 83523.5, 56.544, -28.887, -26.122, 89.35, 0.4937, 0.4213, 24.23, -24.116, -25.125},
    {30, 35, 1600, 83523.5, 1486.385, 12.879, {}, {}, 10.6238, 11.2687, 2760.43, 58.992, 18.357},
    {15, 98, 500, 95460.8, 1671.762, 14.687, {}, {}, 12.5708, 11.0860, 34.12, 43.125, 14.800},
};

TEST(MoistAir, AgreesWithAnIndependentImplementation) {
  for (const State& row : moist_air_states) {
    SCOPED_TRACE(row.t);
    const Temperature t(row.t);
    const Share rh(row.rh_percent / 100);
    const AbsolutePressure p = *standard_pressure(Length(row.altitude));
    EXPECT_NEAR(p.value, row.p, 0.06);
    EXPECT_NEAR(vapor_pressure(t, rh)->value, row.e, 0.0006);
    EXPECT_NEAR(dew_point(t, rh)->celsius(), row.dew, 0.0006);
    EXPECT_NEAR(absolute_humidity(t, rh)->value * 1000, row.absolute_g_m3, 0.0002);
    EXPECT_NEAR(humidity_ratio(t, rh, p)->value * 1000, row.ratio_g_kg, 0.0001);
    EXPECT_NEAR(vapor_pressure_deficit(t, rh)->value, row.deficit, 0.006);
    EXPECT_NEAR(enthalpy(t, rh, p)->value / 1000, row.enthalpy_kj_kg, 0.0006);
    EXPECT_NEAR(wet_bulb(t, rh, p)->celsius(), row.wet_bulb, 0.0006);
    ASSERT_EQ(frost_point(t, rh).has_value(), row.frost.has_value());
    if (row.frost) {
      EXPECT_NEAR(frost_point(t, rh)->celsius(), *row.frost, 0.0006);
    }
    if (row.rh_ice_percent) {
      EXPECT_NEAR(over_ice(t, rh) * 100, *row.rh_ice_percent, 0.006);
    }
  }
}

// Computed independently: at these temperatures and humidities over water, air is saturated over ice.
TEST(MoistAir, FrostyAirReadsWellBelowOneHundredPercentOverWater) {
  constexpr double saturated_over_ice[][2] = {{-5, 95.3}, {-10, 90.7}, {-20, 82.3}, {-30, 74.6}};
  for (const auto& [t, percent] : saturated_over_ice) {
    EXPECT_NEAR(humidity_over_water(Temperature(t), Share(1))->value * 100, percent, 0.05) << t;
    EXPECT_NEAR(over_ice(Temperature(t), Share(percent / 100)), 1, 0.001) << t;
  }
}

TEST(MoistAir, AReadingOverIceComesBackOverWater) {
  for (double t = -60; t <= 0.01; t += 0.37) {
    for (double rh = 0; rh <= 0.999; rh += 0.111) {
      const Share reported(over_ice(Temperature(t), Share(rh)));
      EXPECT_NEAR(humidity_over_water(Temperature(t), reported)->value, rh, 1e-12) << t;
    }
  }
}

TEST(MoistAir, AboveFreezingAReadingOverIceIsOverWaterAlready) {
  EXPECT_EQ(*humidity_over_water(Temperature(5), Share(0.6)), Share(0.6));
}

RC_GTEST_PROP(MoistAir, DewPointIsNeverAboveTheTemperature, ()) {
  const double t = *rc::gen::inRange(-6000, 5880) / 100.0;
  const double rh = *rc::gen::inRange(1, 100001) / 100000.0;
  const auto dew = dew_point(Temperature(t), Share(rh));
  if (!dew) RC_DISCARD("too dry");
  RC_ASSERT(*dew <= Temperature(t));
}

RC_GTEST_PROP(MoistAir, DewPointRoundTripsToTheHumidity, ()) {
  const double t = *rc::gen::inRange(-5000, 5880) / 100.0;
  const double rh = *rc::gen::inRange(100, 10001) / 10000.0;
  const auto dew = dew_point(Temperature(t), Share(rh));
  RC_ASSERT(dew.has_value());
  const double back = saturation_pressure(*dew)->value / saturation_pressure(Temperature(t))->value;
  RC_ASSERT(std::abs(back - rh) < 1e-9);
}

RC_GTEST_PROP(MoistAir, FrostPointLiesBetweenDewPointAndFreezing, ()) {
  const double t = *rc::gen::inRange(-5000, 3000) / 100.0;
  const double rh = *rc::gen::inRange(100, 10001) / 10000.0;
  const auto frost = frost_point(Temperature(t), Share(rh));
  if (!frost) RC_DISCARD("above the triple point");
  RC_ASSERT(*frost <= triple_point_of_water);
  RC_ASSERT(*frost >= *dew_point(Temperature(t), Share(rh)) - TemperatureStep(0.0015));  // curves cross at 0.01 degC
}

TEST(MoistAir, DewPointOfSaturatedAirIsItsTemperature) {
  for (double t = -60; t < 58; t += 0.9) {
    EXPECT_NEAR(dew_point(Temperature(t), Share(1))->celsius(), t, 1e-9);
  }
}

TEST(MoistAir, WetBulbLiesBetweenLimitAndDryBulbAndRisesWithHumidity) {
  for (double t = -40; t <= 45; t += 2.3) {
    double before = -1e9;
    for (int percent = 0; percent <= 100; percent += 5) {
      const double rh = percent / 100.0;
      const auto wet = wet_bulb(Temperature(t), Share(rh), standard_atmosphere);
      if (!wet) {
        ASSERT_GT(over_ice(Temperature(t), Share(rh)), 1) << t;
        continue;
      }
      ASSERT_LE(wet->celsius(), t + 1e-6) << rh;
      ASSERT_GE(wet->celsius(), before) << t << " " << rh;
      before = wet->celsius();
    }
    if (t > 0) {
      EXPECT_NEAR(before, t, 1e-5);
    }
  }
  EXPECT_NEAR(wet_bulb(Temperature(25), Share(1), standard_atmosphere)->celsius(), 25, 1e-5);
}

TEST(MoistAir, AirSaturatedOverIceHasNoWetBulb) {
  const auto wet = wet_bulb(Temperature(-20), Share(0.9), standard_atmosphere);
  ASSERT_FALSE(wet);
  EXPECT_STREQ(wet.error().reason, "no wet bulb: the air is more than saturated over ice");
}

TEST(MoistAir, DryAirHasNoDewPointButTheRestIsKnown) {
  const Temperature t(10);
  EXPECT_FALSE(dew_point(t, Share(0)));
  EXPECT_FALSE(frost_point(t, Share(0)));
  EXPECT_EQ(vapor_pressure(t, Share(0))->value, 0);
  EXPECT_EQ(absolute_humidity(t, Share(0))->value, 0);
  EXPECT_NEAR(enthalpy(t, Share(0), standard_atmosphere)->value, 10060, 1e-9);
}

TEST(MoistAir, OutsideTheRangeThereIsNoValue) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  for (const double rh : {-0.01, 1.001, nan}) {
    EXPECT_FALSE(vapor_pressure(Temperature(5), Share(rh)));
    EXPECT_FALSE(dew_point(Temperature(5), Share(rh)));
    EXPECT_FALSE(frost_point(Temperature(5), Share(rh)));
    EXPECT_FALSE(absolute_humidity(Temperature(5), Share(rh)));
    EXPECT_FALSE(vapor_pressure_deficit(Temperature(5), Share(rh)));
    EXPECT_FALSE(wet_bulb(Temperature(5), Share(rh), standard_atmosphere));
    EXPECT_FALSE(humidity_over_water(Temperature(5), Share(rh)));
  }
  for (const double t : {-151.0, 60.0, nan}) {
    EXPECT_FALSE(dew_point(Temperature(t), Share(0.5)));
    EXPECT_FALSE(wet_bulb(Temperature(t), Share(0.5), standard_atmosphere));
    EXPECT_FALSE(humidity_over_water(Temperature(t), Share(0.5)));
  }
  for (const double p : {0.0, 19999.0, 200001.0, nan}) {
    EXPECT_FALSE(humidity_ratio(Temperature(5), Share(0.5), AbsolutePressure(p)));
    EXPECT_FALSE(enthalpy(Temperature(5), Share(0.5), AbsolutePressure(p)));
  }
  EXPECT_FALSE(wet_bulb(Temperature(58), Share(0.5), AbsolutePressure(20000)));
  EXPECT_STREQ(vapor_pressure(Temperature(5), Share(1.2)).error().reason, "the relative humidity is outside 0..100 %");
}

// ASHRAE Handbook Fundamentals 2017 ch. 1 table 1, standard atmospheric data (from memory): 89.875 kPa at
// 1000 m, 70.108 kPa at 3000 m, 54.020 kPa at 5000 m.
TEST(MoistAir, PressureFollowsTheStandardAtmosphere) {
  EXPECT_EQ(*standard_pressure(Length(0)), standard_atmosphere);
  EXPECT_NEAR(standard_pressure(Length(1000))->value, 89875, 3);
  EXPECT_NEAR(standard_pressure(Length(3000))->value, 70108, 3);
  EXPECT_NEAR(standard_pressure(Length(5000))->value, 54020, 3);
  EXPECT_FALSE(standard_pressure(Length(11001)));
  EXPECT_FALSE(standard_pressure(Length(-5001)));
}

TEST(MoistAir, SeaLevelPressureIsReducedInProportion) {
  const auto station = station_pressure_from_sea_level(AbsolutePressure(102000), Length(1600));
  EXPECT_NEAR(station->value, 83523.5 * 102000 / 101325, 0.1);
  EXPECT_EQ(*station_pressure_from_sea_level(AbsolutePressure(99000), Length(0)), AbsolutePressure(99000));
  EXPECT_FALSE(station_pressure_from_sea_level(AbsolutePressure(84000), Length(0)));
  EXPECT_FALSE(station_pressure_from_sea_level(AbsolutePressure(101325), Length(12000)));
}

}  // namespace
}  // namespace overwinter
