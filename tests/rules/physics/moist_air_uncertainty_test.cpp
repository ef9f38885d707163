#include "rules/physics/moist_air_uncertainty.h"

#include <gtest/gtest.h>

#include "rules/physics/moist_air.h"

namespace overwinter {
namespace {

MoistAir damp_air(double t, double rh) { return *moist_air(Temperature(t), Share(rh)); }

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
    const MoistAir air = damp_air(row.t, row.rh_percent / 100);
    const TemperatureStep u_t(row.u_t);
    const Share u_rh(row.u_rh_percent / 100);
    // By the slope of saturation at the dew point, its uncertainty is that of the vapor pressure.
    const double u_e = vapor_pressure_uncertainty(air, u_t, u_rh).value;
    const double slope = *saturation_slope(*dew_point(air.t, air.rh));
    EXPECT_NEAR(u_e / air.vapor_pressure().value / slope, row.u_dew, 0.0006) << row.t;
    EXPECT_NEAR(absolute_humidity_uncertainty(air, u_t, u_rh).value * 1000, row.u_absolute_g_m3, 0.00006) << row.t;
  }
}

TEST(MoistAirUncertainty, EachPartIsTheDerivativeOfItsQuantity) {
  constexpr double step = 1e-4;
  constexpr double t = -4, rh = 0.7;
  const auto by_t = [&](auto of) { return (of(damp_air(t + step, rh)) - of(damp_air(t - step, rh))) / (2 * step); };
  const auto by_rh = [&](auto of) { return (of(damp_air(t, rh + step)) - of(damp_air(t, rh - step))) / (2 * step); };
  const auto pressure = [](const MoistAir& a) { return a.vapor_pressure().value; };
  const auto density = [](const MoistAir& a) { return a.absolute_humidity().value; };
  const auto deficit = [](const MoistAir& a) { return a.vapor_pressure_deficit().value; };
  const MoistAir air = damp_air(t, rh);
  const TemperatureStep one_kelvin(1), no_kelvin(0);
  const Share one(1), none(0);
  EXPECT_NEAR(vapor_pressure_uncertainty(air, one_kelvin, none).value, by_t(pressure), 1e-5);
  EXPECT_NEAR(vapor_pressure_uncertainty(air, no_kelvin, one).value, by_rh(pressure), 1e-5);
  EXPECT_NEAR(absolute_humidity_uncertainty(air, one_kelvin, none).value, by_t(density), 1e-9);
  EXPECT_NEAR(absolute_humidity_uncertainty(air, no_kelvin, one).value, by_rh(density), 1e-9);
  EXPECT_NEAR(vapor_pressure_deficit_uncertainty(air, one_kelvin, none).value, by_t(deficit), 1e-5);
  EXPECT_NEAR(vapor_pressure_deficit_uncertainty(air, no_kelvin, one).value, -by_rh(deficit), 1e-5);
}

TEST(MoistAirUncertainty, IsLinearInTheInputs) {
  const MoistAir air = damp_air(5, 0.8);
  const auto once = vapor_pressure_uncertainty(air, TemperatureStep(0.3), Share(0.03));
  const auto twice = vapor_pressure_uncertainty(air, TemperatureStep(0.6), Share(0.06));
  EXPECT_NEAR(twice.value, 2 * once.value, 1e-9);
}

TEST(MoistAirUncertainty, DryAirStillHasAnUncertainVaporPressure) {
  EXPECT_GT(vapor_pressure_uncertainty(damp_air(5, 0), TemperatureStep(0.3), Share(0.03)).value, 0);
  EXPECT_GT(absolute_humidity_uncertainty(damp_air(5, 0), TemperatureStep(0.3), Share(0.03)).value, 0);
}

}  // namespace
}  // namespace overwinter
