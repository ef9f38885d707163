#include "rules/physics/surface_condensation.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace overwinter {
namespace {

MoistAir room_air(double t, double rh) { return *moist_air(Temperature(t), Share(rh)); }

// f_Rsi = 1 - U R_si with the resistances of ISO 13788:2012, evaluated independently (Python).
TEST(SurfaceCondensation, GivesTheTemperatureFactorOfOneLayer) {
  struct Row {
    double mm, conductivity, inside, outside, cavity, factor;
  };
  constexpr Row table[] = {{4, 1, 0.13, 0.04, 0, 0.2529},        {1, 160, 0.13, 0.04, 0, 0.2353},
                           {25, 0.035, 0.13, 0.04, 0, 0.8530},   {25, 0.035, 0.25, 0.04, 0, 0.7511},
                           {4, 0.190, 0.13, 0.04, 0.16, 0.6297}, {40, 0.035, 0.25, 0.04, 0, 0.8255}};
  for (const Row& row : table) {
    const Wall wall{Length(row.mm / 1000), ThermalConductivity(row.conductivity), ThermalResistance(row.inside),
                    ThermalResistance(row.outside), ThermalResistance(row.cavity)};
    EXPECT_NEAR(temperature_factor(wall)->value, row.factor, 6e-5) << row.mm;
  }
}

// Independent Python implementation: ISO 13788:2012 temperature factor, Murphy & Koop 2005 limit points.
TEST(SurfaceCondensation, GivesSurfaceTemperatureLimitPointAndMargin) {
  struct Row {
    double inside, rh_percent, outside, factor, surface, limit;
    Deposit deposit;
    double margin;
  };
  constexpr Row table[] = {
      {5, 70, -5, 0.235, -2.650, -0.007, Deposit::frost, -2.643},
      {5, 70, -5, 0.750, 2.500, -0.009, Deposit::dew, 2.509},
      {2, 85, -12, 0.253, -8.458, -0.222, Deposit::frost, -8.236},
      {10, 60, 0, 0.253, 2.530, 2.602, Deposit::dew, -0.072},
      {10, 60, 0, 0.850, 8.500, 2.602, Deposit::dew, 5.898},
      {-5, 80, -8, 0.500, -6.500, -7.026, Deposit::frost, 0.526},
      {1, 90, 3, 0.250, 2.500, -0.453, Deposit::dew, 2.953},
      {15, 45, -15, 0.235, -7.950, 3.177, Deposit::dew, -11.127},
  };
  for (const Row& row : table) {
    SCOPED_TRACE(row.surface);
    const Temperature t(row.inside);
    const Share rh(row.rh_percent / 100);
    const Temperature surface = *surface_temperature(t, Temperature(row.outside), Share(row.factor));
    EXPECT_NEAR(surface.celsius(), row.surface, 6e-4);
    EXPECT_NEAR(limit_point(t, rh, surface)->temperature.celsius(), row.limit, 6e-4);
    EXPECT_EQ(limit_point(t, rh, surface)->deposit, row.deposit);
    EXPECT_NEAR(condensation_margin(t, rh, surface)->value, row.margin, 6e-4);
  }
}

// Chilton-Colburn analogy (ASHRAE Handbook Fundamentals ch. 6), evaluated independently (Python); 101325
// Pa, h_c = 3 W/(m2 K).
TEST(SurfaceCondensation, GivesTheFluxOnAThawDay) {
  struct Row {
    double t, rh_percent, surface, grams_m2_h;
  };
  constexpr Row table[] = {{8, 90, -2, 31.405}, {5, 95, 1, 11.883},  {10, 70, -6, 34.337},
                           {4, 80, 0, 2.247},   {12, 60, 6, -8.328}, {2, 98, -8, 27.106}};
  for (const Row& row : table) {
    const auto flux =
        deposit_flux(room_air(row.t, row.rh_percent / 100), Temperature(row.surface), standard_atmosphere);
    EXPECT_NEAR(flux->value * 3600 * 1000, row.grams_m2_h, 2e-4 * std::abs(row.grams_m2_h) + 1e-3) << row.t;
  }
}

TEST(SurfaceCondensation, FluxChangesItsSignAtTheLimitPoint) {
  // Same temperature of air and surface, so that only the vapor pressures count.
  for (double t = -20; t <= 20; t += 2.5) {
    EXPECT_LT(deposit_flux(room_air(t, 0.5), Temperature(t), standard_atmosphere)->value, 0) << t;
    EXPECT_GE(deposit_flux(room_air(t, 1), Temperature(t), standard_atmosphere)->value, t < 0 ? 1e-9 : 0) << t;
  }
}

TEST(SurfaceCondensation, ColderSurfacesHaveASmallerMargin) {
  double before = -1e9;
  for (double surface = -30; surface < 12; surface += 0.25) {
    const double margin = condensation_margin(Temperature(8), Share(0.6), Temperature(surface))->value;
    ASSERT_GT(margin, before) << surface;
    before = margin;
  }
}

TEST(SurfaceCondensation, RefusesWhatHasNoMeaning) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_FALSE(surface_temperature(Temperature(5), Temperature(0), Share(1.1)));
  EXPECT_FALSE(surface_temperature(Temperature(5), Temperature(0), Share(nan)));
  EXPECT_FALSE(surface_temperature(Temperature(nan), Temperature(0), Share(0.5)));
  EXPECT_FALSE(condensation_margin(Temperature(5), Share(0.5), Temperature(nan)));
  EXPECT_FALSE(temperature_factor({Length(0.01), ThermalConductivity(0)}));
  EXPECT_FALSE(temperature_factor({Length(-0.01), ThermalConductivity(1)}));
  EXPECT_FALSE(temperature_factor({Length(0.01), ThermalConductivity(1), ThermalResistance(-1)}));
  EXPECT_FALSE(limit_point(Temperature(5), Share(1.5), Temperature(0)));
  EXPECT_FALSE(deposit_flux(room_air(5, 0.5), Temperature(nan), standard_atmosphere));
  EXPECT_FALSE(deposit_flux(room_air(5, 0.5), Temperature(0), AbsolutePressure(0)));
}

}  // namespace
}  // namespace overwinter
