#include "rules/physics/tire_seepage.h"

#include <gtest/gtest.h>

#include <cmath>

namespace overwinter {
namespace {

struct TireSeepageRow {
  double start_psig, percent_per_month, kilojoules_per_mole, celsius, days, rate_percent, left_psig;
};

// Arrhenius and exponential decay, independent recomputation. The last row is the natural loss of one year at 70 degF.
constexpr TireSeepageRow tire_seepage_rows[] = {
    {65, 1.5, 45, 21.1, 30.4375, 1.500, 64.032}, {65, 1.5, 45, 0, 120, 0.362, 64.078},
    {65, 1.5, 45, -10, 120, 0.171, 64.564},      {80, 2.5, 45, 5, 180, 0.862, 76.024},
    {35, 1.0, 45, 32.2, 90, 1.952, 33.037},      {50, 1.5, 52, -5, 150, 0.190, 49.535},
    {30, 1.0, 45, 21.1, 365.25, 1.000, 26.608},
};

TEST(TireSeepage, ReproducesTheRecomputation) {
  for (const auto& row : tire_seepage_rows) {
    const Seepage model{RatePerSecond(row.percent_per_month / 100 / tire_month.value), row.kilojoules_per_mole * 1000};
    const auto rate = tire_seepage(Temperature(row.celsius), model);
    ASSERT_TRUE(rate);
    EXPECT_NEAR(rate->value * tire_month.value * 100, row.rate_percent, 0.0006);
    EXPECT_NEAR(row.start_psig * std::exp(-rate->value * row.days * 86400), row.left_psig, 0.0006);
  }
}

TEST(TireSeepage, LiesBetweenThePublishedLosses) {
  // Tire Science and Technology 13 (1985), abstract: 0.5..1 psi a month at 70 degF, about 1.5 psi at 90 degF, car tires
  // (taken as 32 psi). Consumer Reports, October 2007: 1.03 % a month outdoors.
  const auto at_70 = tire_seepage(Temperature(21.1));
  const auto at_90 = tire_seepage(Temperature(32.2));
  ASSERT_TRUE(at_70 && at_90);
  EXPECT_GT(at_70->value * tire_month.value, 0.0103);
  EXPECT_LT(at_70->value * tire_month.value, 1.0 / 32);
  EXPECT_LT(at_90->value * tire_month.value, 1.5 / 32);
}

TEST(TireSeepage, AlmostStopsInTheCold) {
  const auto warm = tire_seepage(Temperature(21.1));
  const auto freezing = tire_seepage(Temperature(0));
  const auto cold = tire_seepage(Temperature(-10));
  ASSERT_TRUE(warm && freezing && cold);
  EXPECT_NEAR(*freezing / *warm, 0.24, 0.005);
  EXPECT_NEAR(*cold / *warm, 0.11, 0.005);
}

TEST(TireSeepage, RisesWithTemperatureOverTheWholeRange) {
  double previous = 0;
  for (double t = -40; t <= 60; ++t) {
    const auto rate = tire_seepage(Temperature(t));
    ASSERT_TRUE(rate);
    EXPECT_GT(rate->value, previous);
    previous = rate->value;
  }
  EXPECT_FALSE(tire_seepage(Temperature(-40.1)));
  EXPECT_FALSE(tire_seepage(Temperature(60.1)));
}

TEST(TireSeepage, HasNoValueForAnAbsurdModel) {
  EXPECT_FALSE(tire_seepage(Temperature(20), {RatePerSecond(-1e-9), 45e3}));
  EXPECT_FALSE(tire_seepage(Temperature(20), {RatePerSecond(1e-9), 1e9}));
}

}  // namespace
}  // namespace overwinter
