#include "rules/physics/moist_air_uncertainty.h"

#include <gtest/gtest.h>

#include <cmath>

#include "rules/physics/moist_air.h"

namespace overwinter {
namespace {

// Independent Python implementation of JCGM 100:2008 5.1.2 by central difference (step 1e-3) on Murphy
// & Koop 2005.
TEST(MoistAirUncertainty, AgreesWithAnIndependentCentralDifference) {
  struct Row {
    double t, rh_percent, u_t, u_rh_percent, u_dew, u_absolute_g_m3;
  };
  constexpr Row table[] = {
      {20, 50, 0.3, 3, 0.932, 0.5405}, {10, 80, 0.3, 3, 0.618, 0.3162},  {5, 90, 0.5, 3, 0.683, 0.2873},
      {0, 80, 0.5, 5, 0.970, 0.2769},  {-10, 80, 0.5, 5, 0.914, 0.1376}, {-20, 70, 1.0, 5, 1.252, 0.0819},
  };
  for (const Row& row : table) {
    const Temperature t(row.t);
    const Share rh(row.rh_percent / 100);
    const TemperatureStep u_t(row.u_t);
    const Share u_rh(row.u_rh_percent / 100);
    EXPECT_NEAR(dew_point_uncertainty(t, rh, u_t, u_rh)->value, row.u_dew, 0.0006) << row.t;
    EXPECT_NEAR(absolute_humidity_uncertainty(t, rh, u_t, u_rh)->value * 1000, row.u_absolute_g_m3, 0.00006) << row.t;
  }
}

TEST(MoistAirUncertainty, EachPartIsTheDerivativeOfItsQuantity) {
  constexpr double step = 1e-4;
  const Temperature t(-4);
  const Share rh(0.7);
  const auto by_t = [&](auto f) {
    return (f(t + TemperatureStep(step), rh)->value - f(t - TemperatureStep(step), rh)->value) / (2 * step);
  };
  const auto by_rh = [&](auto f) {
    return (f(t, rh + Share(step))->value - f(t, rh - Share(step))->value) / (2 * step);
  };
  const TemperatureStep one_kelvin(1), no_kelvin(0);
  const Share one(1), none(0);
  EXPECT_NEAR(frost_point_uncertainty(t, rh, one_kelvin, none)->value, by_t(frost_point), 1e-6);
  EXPECT_NEAR(frost_point_uncertainty(t, rh, no_kelvin, one)->value, by_rh(frost_point), 1e-5);
  EXPECT_NEAR(dew_point_uncertainty(t, rh, one_kelvin, none)->value, by_t(dew_point), 1e-6);
  EXPECT_NEAR(vapor_pressure_uncertainty(t, rh, one_kelvin, none)->value, by_t(vapor_pressure), 1e-5);
  EXPECT_NEAR(vapor_pressure_uncertainty(t, rh, no_kelvin, one)->value, by_rh(vapor_pressure), 1e-5);
  EXPECT_NEAR(absolute_humidity_uncertainty(t, rh, one_kelvin, none)->value, by_t(absolute_humidity), 1e-9);
}

TEST(MoistAirUncertainty, IsLinearInTheInputs) {
  const auto once = dew_point_uncertainty(Temperature(5), Share(0.8), TemperatureStep(0.3), Share(0.03));
  const auto twice = dew_point_uncertainty(Temperature(5), Share(0.8), TemperatureStep(0.6), Share(0.06));
  EXPECT_NEAR(twice->value, 2 * once->value, 1e-12);
}

TEST(MoistAirUncertainty, DryAirStillHasAnUncertainVaporPressure) {
  EXPECT_GT(vapor_pressure_uncertainty(Temperature(5), Share(0), TemperatureStep(0.3), Share(0.03))->value, 0);
  EXPECT_GT(absolute_humidity_uncertainty(Temperature(5), Share(0), TemperatureStep(0.3), Share(0.03))->value, 0);
  EXPECT_FALSE(dew_point_uncertainty(Temperature(5), Share(0), TemperatureStep(0.3), Share(0.03)));
}

TEST(MoistAirUncertainty, RefusesNegativeInputsAndFollowsTheRangeOfTheQuantity) {
  EXPECT_FALSE(dew_point_uncertainty(Temperature(5), Share(0.5), TemperatureStep(-1), Share(0)));
  EXPECT_FALSE(vapor_pressure_uncertainty(Temperature(5), Share(0.5), TemperatureStep(0), Share(-1)));
  EXPECT_FALSE(absolute_humidity_uncertainty(Temperature(5), Share(1.5), TemperatureStep(0), Share(0)));
  EXPECT_FALSE(frost_point_uncertainty(Temperature(20), Share(0.8), TemperatureStep(0.1), Share(0.01)));
}

}  // namespace
}  // namespace overwinter
