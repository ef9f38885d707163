#include "rules/physics/surface_condensation.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace overwinter {
namespace {

MoistAir room_air(double t, double rh) { return *moist_air(Temperature(t), Share(rh)); }

// Independent Python implementation of ISO 13788:2012.
TEST(SurfaceCondensation, GivesTheSurfaceTemperature) {
  struct Row {
    double inside, outside, factor, surface;
  };
  constexpr Row table[] = {{5, -5, 0.235, -2.650}, {5, -5, 0.750, 2.500},   {2, -12, 0.253, -8.458},
                           {10, 0, 0.253, 2.530},  {10, 0, 0.850, 8.500},   {-5, -8, 0.500, -6.500},
                           {1, 3, 0.250, 2.500},   {15, -15, 0.235, -7.950}};
  for (const Row& row : table) {
    const auto surface = surface_temperature(Temperature(row.inside), Temperature(row.outside), Share(row.factor));
    EXPECT_NEAR(surface->celsius(), row.surface, 6e-4);
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

TEST(SurfaceCondensation, RefusesWhatHasNoMeaning) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_FALSE(surface_temperature(Temperature(5), Temperature(0), Share(1.1)));
  EXPECT_FALSE(surface_temperature(Temperature(5), Temperature(0), Share(nan)));
  EXPECT_FALSE(surface_temperature(Temperature(nan), Temperature(0), Share(0.5)));
  EXPECT_FALSE(deposit_flux(room_air(5, 0.5), Temperature(nan), standard_atmosphere));
  EXPECT_FALSE(deposit_flux(room_air(5, 0.5), Temperature(0), AbsolutePressure(0)));
}

}  // namespace
}  // namespace overwinter
