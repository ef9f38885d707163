#include "rules/physics/propane.h"

#include <gtest/gtest.h>

#include <cmath>

namespace overwinter {
namespace {

constexpr double kilograms_per_pound = 0.45359237;

Mass pounds(double n) { return Mass(n * kilograms_per_pound); }

TEST(Propane, MatchesThePublishedSaturationTable) {
  // Lemmon, McLinden, Wagner 2009, table A1.
  struct Published {
    double celsius, kilopascals, liquid, vapor;
  };
  for (const auto& row : {Published{-50, 70.569, 589.90, 1.7270}, Published{50, 1713.3, 448.87, 38.630}}) {
    const Temperature t(row.celsius);
    EXPECT_NEAR(propane_vapor_pressure(t)->value / 1000 / row.kilopascals, 1, 1e-4);
    EXPECT_NEAR(propane_liquid_density(t)->value / row.liquid, 1, 5e-5);
    EXPECT_NEAR(propane_vapor_density(t)->value / row.vapor, 1, 4e-4);
  }
}

struct PropaneRow {
  double celsius, kilopascals, gauge_kilopascals, liquid, vapor;
};

// Ancillary equations of Lemmon, McLinden, Wagner 2009, independent recomputation. -42.114 degC is the normal boiling
// point.
constexpr PropaneRow propane_rows[] = {
    {-50, 70.567, -30.758, 589.91, 1.7265},    {-42.114, 101.324, -0.001, 580.90, 2.4156},
    {-40, 111.122, 9.797, 578.45, 2.6321},     {-30, 167.836, 66.511, 566.65, 3.8664},
    {-20, 244.525, 143.200, 554.46, 5.5043},   {-10, 345.287, 243.962, 541.80, 7.6319},
    {0, 474.460, 373.135, 528.59, 10.3504},    {15, 731.501, 630.176, 507.50, 15.8121},
    {25, 952.059, 850.734, 492.36, 20.6161},   {37.7778, 1300.471, 1199.146, 471.35, 28.5352},
    {50, 1713.383, 1612.058, 448.86, 38.6282},
};

TEST(Propane, ReproducesTheAncillaryEquations) {
  for (const auto& row : propane_rows) {
    const Temperature t(row.celsius);
    EXPECT_NEAR(propane_vapor_pressure(t)->value / 1000, row.kilopascals, 0.0011) << row.celsius;
    EXPECT_NEAR(propane_gauge_pressure(t, standard_atmosphere)->value / 1000, row.gauge_kilopascals, 0.0011);
    EXPECT_NEAR(propane_liquid_density(t)->value, row.liquid, 0.006);
    EXPECT_NEAR(propane_vapor_density(t)->value, row.vapor, 0.00006);
  }
}

TEST(Propane, PressureRisesAndLiquidThinsOverTheWholeRange) {
  double pressure = 0;
  double liquid = 1e9;
  for (double c = -50; c <= 60; c += 0.5) {
    const Temperature t(c);
    ASSERT_GT(propane_vapor_pressure(t)->value, pressure);
    ASSERT_LT(propane_liquid_density(t)->value, liquid);
    pressure = propane_vapor_pressure(t)->value;
    liquid = propane_liquid_density(t)->value;
  }
  EXPECT_FALSE(propane_vapor_pressure(Temperature(-50.1)));
  EXPECT_FALSE(propane_liquid_density(Temperature(60.1)));
  EXPECT_FALSE(propane_vapor_density(Temperature(std::nan(""))));
  EXPECT_FALSE(propane_gauge_pressure(Temperature(0), AbsolutePressure(0)));
}

TEST(Propane, DensitiesAndPressureSatisfyClapeyron) {
  // dp/dT (1/rho_v - 1/rho_l) T is the heat of vaporization: 425.6 kJ/kg at the normal boiling point, 375 kJ/kg at 0
  // degC (handbook figures for propane, from memory).
  const auto heat = [](double c) {
    const double slope =
        (propane_vapor_pressure(Temperature(c + 0.1))->value - propane_vapor_pressure(Temperature(c - 0.1))->value) /
        0.2;
    const double swell =
        1 / propane_vapor_density(Temperature(c))->value - 1 / propane_liquid_density(Temperature(c))->value;
    return slope * swell * (c + 273.15) / 1000;
  };
  EXPECT_NEAR(heat(-42.114), 425.6, 2);
  EXPECT_NEAR(heat(0), 375, 2);
}

struct BottleRow {
  double gross, tare, water, celsius, propane, percent_full, percent_liquid;
};

// Mass balance with the densities above, independent recomputation. The first rows are full cylinders of 20 and 30 lb.
constexpr BottleRow bottle_rows[] = {
    {37.0, 17.0, 47.6, 15.56, 20.00, 100.0, 82.28}, {27.0, 17.0, 47.6, -10, 10.00, 50.0, 37.86},
    {54.5, 24.5, 71.4, 0, 30.00, 100.0, 79.00},     {35.0, 24.5, 71.4, -20, 10.50, 35.0, 25.76},
    {69.5, 29.5, 95.2, 20, 40.00, 100.0, 83.34},    {17.6, 17.0, 47.6, 20, 0.60, 3.0, 0.00},
};

TEST(PropaneCylinder, IsWeighed) {
  for (const auto& row : bottle_rows) {
    const auto contents = propane_contents(pounds(row.gross), pounds(row.tare));
    ASSERT_TRUE(contents);
    EXPECT_NEAR(contents->value / kilograms_per_pound, row.propane, 0.006);
    const auto full = propane_fill_fraction(*contents, pounds(row.water));
    const auto liquid = propane_liquid_fraction(*contents, pounds(row.water), Temperature(row.celsius));
    ASSERT_TRUE(full && liquid);
    EXPECT_NEAR(full->value * 100, row.percent_full, 0.06);
    EXPECT_NEAR(liquid->value * 100, row.percent_liquid, 0.006);
  }
}

TEST(PropaneCylinder, IsEmptyALittleBelowItsTareAndDoubtfulFarBelow) {
  EXPECT_EQ(propane_contents(pounds(16.5), pounds(17))->value, 0);
  EXPECT_FALSE(propane_contents(pounds(15), pounds(17)));
  EXPECT_FALSE(propane_contents(pounds(15), pounds(0)));
}

TEST(PropaneCylinder, ShowsAnOverfillAndRefusesTheImpossible) {
  EXPECT_GT(propane_fill_fraction(pounds(24), pounds(47.6))->value, 1.19);
  EXPECT_FALSE(propane_fill_fraction(pounds(50), pounds(47.6)));
  EXPECT_FALSE(propane_liquid_fraction(pounds(30), pounds(47.6), Temperature(20)));
  EXPECT_FALSE(propane_fill_fraction(pounds(20), pounds(0)));
}

struct FullRow {
  double percent, celsius, full_celsius;
};

// Mass balance, independent recomputation.
constexpr FullRow full_rows[] = {
    {80, 15.5556, 68.11}, {80, -20, 52.11}, {85, 15.5556, 57.67},
    {90, 15.5556, 45.42}, {90, -20, 20.33}, {80, 0, 61.33},
};

TEST(PropaneLiquidFull, IsLowestForWhatIsFilledInTheCold) {
  for (const auto& row : full_rows) {
    const auto t = propane_liquid_full(Share(row.percent / 100), Temperature(row.celsius));
    ASSERT_TRUE(t);
    EXPECT_NEAR(t->celsius(), row.full_celsius, 0.011) << row.percent << " % at " << row.celsius;
  }
}

TEST(PropaneLiquidFull, IsNowForAFullCylinderAndNeverForAHalfEmptyOne) {
  EXPECT_NEAR(propane_liquid_full(Share(1), Temperature(10))->celsius(), 10, 1e-6);
  EXPECT_FALSE(propane_liquid_full(Share(0.4), Temperature(10)));
  EXPECT_FALSE(propane_liquid_full(Share(1.1), Temperature(10)));
}

}  // namespace
}  // namespace overwinter
