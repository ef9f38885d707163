#include "rules/physics/tire_pressure.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include <rapidcheck/gtest.h>

namespace overwinter {
namespace {

GaugePressure gauge_psi(double n) { return GaugePressure(n * pascals_per_psi); }
double to_psi(GaugePressure p) { return p.value / pascals_per_psi; }
double to_psi(PressureDifference p) { return p.value / pascals_per_psi; }
AbsolutePressure kilopascals(double n) { return AbsolutePressure(n * 1000); }

struct IdealRow {
  double fill_psig, fill_celsius, fill_kilopascals, now_celsius, now_kilopascals, expected_psig;
};

// Ideal gas law at constant volume, independent recomputation.
constexpr IdealRow ideal_rows[] = {
    {35, 20, 101.325, -10, 101.325, 29.914}, {50, 25, 101.325, -20, 101.325, 40.235},
    {65, 15, 101.325, -15, 101.325, 56.703}, {80, 20, 101.325, -30, 101.325, 63.849},
    {65, 20, 101.325, 20, 97.5, 65.555},     {65, 30, 84.0, 0, 101.325, 54.849},
    {50, 10, 99.0, 35, 102.5, 55.175},       {80, 26.7, 98.0, 4.4, 103.0, 72.268},
};

TEST(TirePressure, FollowsTheIdealGasLaw) {
  for (const auto& row : ideal_rows) {
    const auto now =
        tire_pressure(gauge_psi(row.fill_psig), Temperature(row.fill_celsius), Temperature(row.now_celsius),
                      kilopascals(row.fill_kilopascals), kilopascals(row.now_kilopascals));
    ASSERT_TRUE(now) << now.error().reason;
    EXPECT_NEAR(to_psi(*now), row.expected_psig, 0.0006) << row.fill_psig << " psi at " << row.now_celsius;
  }
}

struct StepRow {
  double psig, fahrenheit, psi_per_10_degF;
};

// d p / d T = p / T, independent recomputation. The rule of the trade is 1 psi per 10 degF: right near 38 psi only.
constexpr StepRow step_rows[] = {
    {35, 68, 0.942}, {50, 68, 1.226}, {65, 68, 1.510}, {80, 68, 1.795}, {35, 32, 1.011}, {50, 32, 1.316},
    {65, 32, 1.621}, {80, 32, 1.926}, {35, 0, 1.081},  {65, 0, 1.734},  {80, 0, 2.060},
};

TEST(TirePressure, FallsByTheExactFigureForTenDegreesFahrenheit) {
  for (const auto& row : step_rows) {
    const double celsius = (row.fahrenheit - 32) / 1.8;
    const auto colder = tire_pressure(gauge_psi(row.psig), Temperature(celsius), Temperature(celsius - 10 / 1.8),
                                      standard_atmosphere, standard_atmosphere);
    ASSERT_TRUE(colder);
    EXPECT_NEAR(row.psig - to_psi(*colder), row.psi_per_10_degF, 0.0006) << row.psig << " psi at " << row.fahrenheit;
  }
}

TEST(TirePressure, ReadsLowerAtSeaLevelThanOnAMountain) {
  // Standard atmosphere (ISO 2533): 84.556 kPa at 1500 m. 2.43 psi lower by the difference of the two pressures.
  const auto p =
      tire_pressure(gauge_psi(65), Temperature(20), Temperature(20), kilopascals(84.556), standard_atmosphere);
  ASSERT_TRUE(p);
  EXPECT_NEAR(to_psi(*p), 65 - 2.43, 0.005);
}

// Standard atmosphere (ISO 2533): 84.556 kPa at 1500 m, 2.43 psi below that at sea level, which a sealed sensor keeps.
TEST(TrueGauge, ReadsHigherOnAMountainThanASealedSensor) {
  EXPECT_NEAR(to_psi(true_gauge(gauge_psi(50), standard_atmosphere, kilopascals(84.556))), 52.43, 0.005);
  EXPECT_NEAR(to_psi(true_gauge(gauge_psi(50), kilopascals(100), kilopascals(100))), 50, 1e-12);
}

struct NormalRow {
  double psig, celsius, kilopascals, normalized_psig;
};

// Ideal gas law to 20 degC and 101.325 kPa, independent recomputation.
constexpr NormalRow normal_rows[] = {
    {58.0, -10, 101.325, 66.288}, {65, 20, 97.5, 64.445},  {52.5, -25, 102.8, 64.938},
    {70, 35, 100, 65.694},        {33.1, 5, 99.2, 35.353}, {79, 12.5, 101.325, 81.460},
};

TEST(NormalizedPressure, IsTheReadingAtTwentyDegreesAndOneAtmosphere) {
  for (const auto& row : normal_rows) {
    const auto n = normalized_pressure(gauge_psi(row.psig), Temperature(row.celsius), kilopascals(row.kilopascals));
    ASSERT_TRUE(n);
    EXPECT_NEAR(to_psi(*n), row.normalized_psig, 0.0006);
  }
}

TEST(NormalizedPressure, AnswersForAFlatTire) {
  const auto n = normalized_pressure(gauge_psi(0), Temperature(30), standard_atmosphere);
  ASSERT_TRUE(n);
  EXPECT_LT(to_psi(*n), 0);
}

RC_GTEST_PROP(NormalizedPressure, UndoesThePressureToSet, ()) {
  const auto cold = gauge_psi(*rc::gen::inRange(0, 1201) / 10.0);
  const Temperature t(*rc::gen::inRange(-400, 601) / 10.0);
  const auto station = kilopascals(*rc::gen::inRange(800, 1051) / 10.0);
  const auto set = pressure_to_set(cold, t, station);
  RC_ASSERT(set.has_value());
  const auto back = normalized_pressure(*set, t, station);
  RC_ASSERT(back.has_value());
  RC_ASSERT(std::abs(back->value - cold.value) < 1e-6);
}

RC_GTEST_PROP(TirePressure, ReturnsToTheFillThroughAnyTemperature, ()) {
  const auto fill = gauge_psi(*rc::gen::inRange(200, 900) / 10.0);
  const Temperature warm(*rc::gen::inRange(-400, 601) / 10.0);
  const Temperature cold(*rc::gen::inRange(-400, 601) / 10.0);
  const auto there = tire_pressure(fill, warm, cold, standard_atmosphere, kilopascals(97));
  RC_ASSERT(there.has_value());
  RC_PRE(*there <= highest_fill && there->value >= 0);
  const auto back = tire_pressure(*there, cold, warm, kilopascals(97), standard_atmosphere);
  RC_ASSERT(back.has_value());
  RC_ASSERT(std::abs(back->value - fill.value) < 1e-6);
}

TEST(TirePressure, RisesWithTemperatureOverTheWholeRange) {
  double previous = 0;
  for (double t = -40; t <= 60; t += 0.5) {
    const auto p =
        tire_pressure(gauge_psi(65), Temperature(20), Temperature(t), standard_atmosphere, standard_atmosphere);
    ASSERT_TRUE(p);
    EXPECT_GT(p->value, previous);
    previous = p->value;
  }
}

TEST(TirePressure, HasNoValueOutsideItsRange) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const Temperature mild(20);
  const auto at = [&](GaugePressure p, Temperature fill, Temperature now, AbsolutePressure b) {
    return tire_pressure(p, fill, now, b, standard_atmosphere).has_value();
  };
  EXPECT_TRUE(at(gauge_psi(120), Temperature(60), Temperature(-40), kilopascals(50)));
  EXPECT_FALSE(at(gauge_psi(121), mild, mild, standard_atmosphere));
  EXPECT_FALSE(at(gauge_psi(-1), mild, mild, standard_atmosphere));
  EXPECT_FALSE(at(gauge_psi(65), Temperature(60.1), mild, standard_atmosphere));
  EXPECT_FALSE(at(gauge_psi(65), mild, Temperature(-40.1), standard_atmosphere));
  EXPECT_FALSE(at(gauge_psi(65), mild, Temperature(nan), standard_atmosphere));
  EXPECT_FALSE(at(gauge_psi(nan), mild, mild, standard_atmosphere));
  EXPECT_FALSE(at(gauge_psi(65), mild, mild, kilopascals(0)));
}

struct MoistRow {
  double psig, fill_celsius, humidity, now_celsius, dry_psig, wet_psig, difference_psi;
};

// Dalton's law with the Magnus form of Sonntag 1990 (WMO-No. 8, Annex 4.B), independent recomputation. Another formula
// of saturation than the code's: they differ by up to 0.3 %, here 0.002 psi.
constexpr MoistRow moist_rows[] = {
    {35, 25, 1.0, -10, 29.166, 28.799, -0.367}, {65, 25, 1.0, -10, 55.644, 55.278, -0.367},
    {65, 25, 1.0, 5, 59.654, 59.353, -0.301},   {80, 30, 1.0, -20, 64.381, 63.884, -0.498},
    {65, 25, 0.2, -10, 55.644, 55.601, -0.043}, {50, 15, 1.0, 20, 51.123, 51.123, 0.000},
    {65, 20, 0.5, 0, 59.563, 59.494, -0.069},
};

TEST(MoistFillCorrection, IsTheVaporThatCondensed) {
  for (const auto& row : moist_rows) {
    const auto dry = tire_pressure(gauge_psi(row.psig), Temperature(row.fill_celsius), Temperature(row.now_celsius),
                                   standard_atmosphere, standard_atmosphere);
    const auto correction =
        moist_fill_correction(Temperature(row.fill_celsius), Temperature(row.now_celsius), Share(row.humidity));
    ASSERT_TRUE(dry && correction);
    EXPECT_NEAR(to_psi(*dry), row.dry_psig, 0.0006);
    EXPECT_NEAR(to_psi(*correction), row.difference_psi, 0.0025);
    EXPECT_NEAR(to_psi(*dry + *correction), row.wet_psig, 0.0025);
  }
}

TEST(MoistFillCorrection, IsNothingForDryAirAndNeverRaisesThePressure) {
  for (double fill = -40; fill <= 45; fill += 5) {
    for (double now = -40; now <= 45; now += 5) {
      const auto dry = moist_fill_correction(Temperature(fill), Temperature(now), Share(0));
      const auto wet = moist_fill_correction(Temperature(fill), Temperature(now), Share(1));
      ASSERT_TRUE(dry && wet);
      EXPECT_EQ(dry->value, 0);
      EXPECT_LE(wet->value, 0);
    }
  }
  EXPECT_FALSE(moist_fill_correction(Temperature(20), Temperature(0), Share(1.01)));
  EXPECT_FALSE(moist_fill_correction(Temperature(46), Temperature(0), Share(1)));
}

struct RealRow {
  double psig, fill_celsius, now_celsius, full_equation_psig;
};

// Full equation of state of air, Lemmon, Jacobsen, Penoncello, Friend 2000, independent recomputation.
constexpr RealRow real_rows[] = {
    {35, 20, -20, 28.160}, {50, 20, -20, 41.073}, {65, 20, -20, 53.975}, {80, 20, -20, 66.866},
    {65, 20, 0, 59.488},   {80, 30, -30, 60.968}, {65, 10, 40, 73.566},
};

TEST(TirePressure, LiesNearTheFullEquationOfState) {
  for (const auto& row : real_rows) {
    const auto ideal = tire_pressure(gauge_psi(row.psig), Temperature(row.fill_celsius), Temperature(row.now_celsius),
                                     standard_atmosphere, standard_atmosphere);
    ASSERT_TRUE(ideal);
    EXPECT_NEAR(to_psi(*ideal), row.full_equation_psig, 0.35);
    if (row.now_celsius < row.fill_celsius) {
      EXPECT_GT(to_psi(*ideal), row.full_equation_psig);
    }
  }
}

}  // namespace
}  // namespace overwinter
