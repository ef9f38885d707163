#include "rules/physics/vapor_saturation.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <optional>

namespace overwinter {
namespace {

// Pa. Columns 2 and 3: independent Python implementation of Murphy & Koop 2005, eq. 10 and eq. 7.
// Column 4: Hyland & Wexler 1983 as in ASHRAE Handbook Fundamentals 2017 ch. 1 eq. 5 and 6 (psychrolib
// 1.1.1), ice up to 0 degC, water above. Column 5: IAPWS R14-08(2011) for ice, IAPWS-95 for water (iapws
// 1.5); none at 0 degC for water.
struct Saturation {
  double t;
  double water;
  std::optional<double> ice;
  double ashrae;
  double iapws;
};
constexpr Saturation saturation_rows[] = {
    {-40, 18.9121, 12.8443, 12.8452, 12.8412},     {-30, 50.9356, 38.0122, 38.0157, 38.0051},
    {-20, 125.5042, 103.2525, 103.2604, 103.2390}, {-10, 286.4530, 259.8922, 259.9029, 259.8738},
    {-5, 421.7606, 401.7559, 401.7641, 401.7410},  {0, 611.2127, 611.1536, 611.1536, 611.1535},
    {5, 872.5995, {}, 872.4867, 872.5751},         {10, 1228.2574, {}, 1227.9953, 1228.1989},
    {20, 2339.3990, {}, 2338.8037, 2339.3182},     {35, 5628.6169, {}, 5627.8194, 5629.0161},
};

TEST(VaporSaturation, AgreesWithAnIndependentImplementationOfMurphyAndKoop) {
  for (const Saturation& row : saturation_rows) {
    EXPECT_NEAR(saturation_pressure(Temperature(row.t))->value, row.water, 1e-6 * row.water + 5e-5) << row.t;
    if (!row.ice) continue;
    EXPECT_NEAR(saturation_pressure_over_ice(Temperature(row.t))->value, *row.ice, 1e-6 * *row.ice + 5e-5) << row.t;
  }
}

TEST(VaporSaturation, AgreesWithIapwsAndAshraeWithinTheStatedAccuracy) {
  for (const Saturation& row : saturation_rows) {
    const bool ice = row.ice.has_value();
    const Temperature t(row.t);
    const double pressure = ice ? saturation_pressure_over_ice(t)->value : saturation_pressure(t)->value;
    EXPECT_NEAR(pressure, row.iapws, (ice ? 3.1e-4 : 0.9e-4) * pressure) << row.t;
    EXPECT_NEAR(pressure, row.ashrae, 3e-4 * pressure) << row.t;
  }
}

// IAPWS R14-08(2011): the triple point is 273.16 K and 611.657 Pa.
TEST(VaporSaturation, IceMeetsTheTriplePoint) {
  EXPECT_NEAR(saturation_pressure_over_ice(triple_point_of_water)->value, 611.657, 0.001);
  EXPECT_NEAR(frost_point_at(AbsolutePressure(611.657))->celsius(), 0.01, 1e-5);
}

TEST(VaporSaturation, SlopesAreTheDerivativesOfTheCurves) {
  constexpr double step = 1e-3;
  for (double t = -95; t < 58; t += 0.7) {
    const double above = std::log(saturation_pressure(Temperature(t + step))->value);
    const double below = std::log(saturation_pressure(Temperature(t - step))->value);
    EXPECT_NEAR(*saturation_slope(Temperature(t)), (above - below) / (2 * step), 1e-8) << t;
  }
  for (double t = -95; t < 0; t += 0.7) {
    const double above = std::log(saturation_pressure_over_ice(Temperature(t + step))->value);
    const double below = std::log(saturation_pressure_over_ice(Temperature(t - step))->value);
    EXPECT_NEAR(*saturation_slope_over_ice(Temperature(t)), (above - below) / (2 * step), 1e-8) << t;
  }
}

TEST(VaporSaturation, DewAndFrostPointsUndoThePressureOverTheWholeRange) {
  for (double t = -99.9; t < 58.8; t += 0.1) {
    EXPECT_NEAR(dew_point_at(*saturation_pressure(Temperature(t)))->celsius(), t, 1e-9) << t;
  }
  for (double t = -99.9; t < 0.01; t += 0.1) {
    EXPECT_NEAR(frost_point_at(*saturation_pressure_over_ice(Temperature(t)))->celsius(), t, 1e-9) << t;
  }
}

TEST(VaporSaturation, PressureRisesWithTemperatureAndIsLowerOverIce) {
  double before = 0;
  for (double t = -150; t < 58.8; t += 0.05) {
    const double pressure = saturation_pressure(Temperature(t))->value;
    ASSERT_GT(pressure, before) << t;
    before = pressure;
    if (t < 0) {
      ASSERT_LT(saturation_pressure_over_ice(Temperature(t))->value, pressure) << t;
    }
  }
}

TEST(VaporSaturation, OutsideTheRangeThereIsNoValue) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double infinite = std::numeric_limits<double>::infinity();
  for (const double t : {-150.2, 58.9, nan, infinite, -infinite}) {
    EXPECT_FALSE(saturation_pressure(Temperature(t))) << t;
    EXPECT_FALSE(saturation_slope(Temperature(t))) << t;
  }
  for (const double t : {-163.2, 0.0101, nan, infinite, -infinite}) {
    EXPECT_FALSE(saturation_pressure_over_ice(Temperature(t))) << t;
    EXPECT_FALSE(saturation_slope_over_ice(Temperature(t))) << t;
  }
  for (const double e : {0.0, -1.0, 1e-9, 18920.0, 1e9, nan, infinite, -infinite}) {
    EXPECT_FALSE(dew_point_at(AbsolutePressure(e))) << e;
    EXPECT_FALSE(frost_point_at(AbsolutePressure(e))) << e;
  }
  EXPECT_STREQ(frost_point_at(AbsolutePressure(611.8)).error().reason,
               "no frost point above the triple point: the air holds more than 611.7 Pa of vapor");
  EXPECT_STREQ(dew_point_at(AbsolutePressure(0)).error().reason,
               "the air is too dry: its dew point is below -100 degC");
}

}  // namespace
}  // namespace overwinter
