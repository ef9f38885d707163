#include "rules/physics/gasoline.h"

#include <gtest/gtest.h>

#include "tests/rules/physics/plain_units.h"

namespace overwinter {
namespace {

Outcome<AbsolutePressure> at(double rvp_psi, double fahrenheit) {
  return gasoline_vapor_pressure(AbsolutePressure(rvp_psi * psi), Temperature((fahrenheit - 32) / 1.8));
}

struct GasolineRow {
  double rvp_psi, fahrenheit, psia;
};

// EPA AP-42 chapter 7.1, figure 7.1-13a (from memory), independent recomputation.
constexpr GasolineRow gasoline_rows[] = {
    {7.8, 60, 3.931}, {9, 40, 3.062}, {10, 60, 5.186}, {13.5, 32, 4.183}, {15, 0, 2.358}, {15, -20, 1.446},
};

TEST(GasolineVaporPressure, ReproducesTheRecomputation) {
  for (const auto& row : gasoline_rows) {
    const auto p = at(row.rvp_psi, row.fahrenheit);
    ASSERT_TRUE(p);
    EXPECT_NEAR(p->value / psi, row.psia, 0.0006);
  }
}

TEST(GasolineVaporPressure, IsNearTheReidPressureAt100Fahrenheit) {
  // The Reid vapor pressure is measured at 100 degF (ASTM D323), over four volumes of vapor, which lowers it by some 5
  // %.
  for (const double rvp : {7.0, 9.0, 11.5, 13.5, 15.0}) EXPECT_NEAR(at(rvp, 100)->value / psi / rvp, 1.05, 0.05) << rvp;
}

TEST(GasolineVaporPressure, OfSummerFuelIsHalfThatOfWinterFuelInTheCold) {
  EXPECT_NEAR(at(15, -4)->value / psi, 2.15, 0.01);
  EXPECT_NEAR(at(9, -4)->value / psi, 1.10, 0.01);
}

TEST(GasolineVaporPressure, RisesWithTemperatureAndVolatility) {
  for (double rvp = 7; rvp <= 14; ++rvp) {
    for (double t = -20; t <= 95; t += 5) {
      EXPECT_LT(at(rvp, t)->value, at(rvp, t + 5)->value);
      EXPECT_LT(at(rvp, t)->value, at(rvp + 1, t)->value);
    }
  }
}

TEST(GasolineVaporPressure, HasNoValueOutsideItsRange) {
  EXPECT_TRUE(at(7, -20));
  EXPECT_TRUE(at(15, 100));
  EXPECT_FALSE(at(6.9, 50));
  EXPECT_FALSE(at(15.1, 50));
  EXPECT_FALSE(at(10, -21));
  EXPECT_FALSE(at(10, 101));
}

}  // namespace
}  // namespace overwinter
