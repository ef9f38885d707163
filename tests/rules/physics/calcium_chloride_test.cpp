#include "rules/physics/calcium_chloride.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <numbers>

#include "rules/physics/vapor_saturation.h"

namespace overwinter {
namespace {

// Tables, unless another source is named: independent Python implementation after Conde 2004 and Murphy &
// Koop 2005.

// Check value of three public implementations of Conde 2004.
TEST(CalciumChloride, ReproducesThePublishedCheckValue) {
  EXPECT_NEAR(brine_water_activity(Share(0.30), Temperature(50))->value, 0.67085251, 1e-8);
}

TEST(CalciumChloride, GivesSaturationAndDeliquescence) {
  struct Row {
    double t, saturation, deliquescence_percent, vapor, dew;
  };
  constexpr Row table[] = {
      {-30, 0.32858, 51.316, 26.138, -36.840},  {-20, 0.34281, 48.793, 61.237, -28.031},
      {-10, 0.35857, 46.034, 131.865, -19.425}, {0, 0.37651, 42.916, 262.311, -11.109},
      {5, 0.38665, 41.158, 359.146, -7.103},    {10, 0.39790, 39.205, 481.543, -3.237},
      {20, 0.42615, 34.292, 802.229, 3.801},    {25, 0.44679, 30.702, 973.239, 6.575},
      {35, 0.51672, 20.018, 1126.748, 8.719},
  };
  for (const Row& row : table) {
    SCOPED_TRACE(row.t);
    const Temperature t(row.t);
    EXPECT_NEAR(brine_saturation(t)->value, row.saturation, 6e-6);
    EXPECT_NEAR(deliquescence_humidity(t)->value * 100, row.deliquescence_percent, 6e-4);
    const AbsolutePressure vapor(deliquescence_humidity(t)->value * saturation_pressure(t)->value);
    EXPECT_NEAR(vapor.value, row.vapor, 2e-5 * row.vapor);
    EXPECT_NEAR(dew_point_at(vapor)->celsius(), row.dew, 6e-4);
    EXPECT_NEAR(brine_boundary(*brine_saturation(t))->celsius(), row.t, 1e-6);
  }
}

// Steiger et al. 2014 (salt database): 44.3 % at 0 degC, 39.4 % at 10 degC, 33.3 % at 20 degC. CRC Handbook:
// RH = 0.11 exp(1653/T), 15..25 degC.
TEST(CalciumChloride, DeliquescenceIsNearOtherSources) {
  EXPECT_NEAR(deliquescence_humidity(Temperature(0))->value, 0.443, 0.02);
  EXPECT_NEAR(deliquescence_humidity(Temperature(10))->value, 0.394, 0.02);
  EXPECT_NEAR(deliquescence_humidity(Temperature(20))->value, 0.333, 0.02);
  EXPECT_NEAR(deliquescence_humidity(Temperature(25))->value, 0.0011 * std::exp(1653 / 298.15), 0.04);
}

TEST(CalciumChloride, GivesTheIceLineAndWaterActivity) {
  struct Row {
    double fraction, ice_line, at_0_percent, at_20_percent;
  };
  constexpr Row table[] = {{0.05, -2.572, 97.944, 97.945},  {0.10, -6.117, 93.897, 93.927},
                           {0.15, -10.713, 88.792, 88.974}, {0.20, -17.242, 81.927, 82.511},
                           {0.25, -29.226, 72.904, 74.161}, {0.29, -49.261, 64.292, 66.184}};
  for (const Row& row : table) {
    SCOPED_TRACE(row.fraction);
    EXPECT_NEAR(brine_water_activity(Share(row.fraction), Temperature(0))->value * 100, row.at_0_percent, 6e-4);
    EXPECT_NEAR(brine_water_activity(Share(row.fraction), Temperature(20))->value * 100, row.at_20_percent, 6e-4);
    const auto boundary = brine_boundary(Share(row.fraction));
    ASSERT_EQ(boundary.has_value(), row.ice_line >= -40);
    if (boundary) {
      EXPECT_NEAR(boundary->celsius(), row.ice_line, 6e-4);
    }
  }
}

TEST(CalciumChloride, GivesEquilibriumAndRateFactor) {
  struct Row {
    double t, rh_percent, fraction, factor;  // fraction 0: none
  };
  constexpr Row table[] = {{20, 80, 0.2162, 1.0000},  {20, 50, 0.3597, 0.3437},  {10, 80, 0.2139, 0.4686},
                           {5, 75, 0.2408, 0.2762},   {0, 80, 0.2117, 0.2120},   {-5, 80, 0.2107, 0.1399},
                           {-10, 80, 0.2096, 0.0910}, {-20, 80, 0.2077, 0.0366}, {5, 40, 0, -0.0095}};
  for (const Row& row : table) {
    SCOPED_TRACE(row.t);
    const Temperature t(row.t);
    const Share rh(row.rh_percent / 100);
    EXPECT_NEAR(*absorber_rate_factor(t, rh), row.factor, 6e-5);
    const auto fraction = brine_equilibrium(t, rh);
    ASSERT_EQ(fraction.has_value(), row.fraction > 0);
    if (fraction) {
      EXPECT_NEAR(fraction->value, row.fraction, 6e-5);
      EXPECT_NEAR(brine_water_activity(*fraction, t)->value, rh.value, 1e-8);
    }
  }
}

// g and h; explicit steps of one hour.
TEST(CalciumChloride, IntegratesTheMassOfATub) {
  const auto after = [](double salt, double water, double uptake, int hours, auto air) {
    AbsorberTub tub{Mass(salt / 1000), Mass(water / 1000)};
    for (int k = 0; k < hours; ++k) {
      const auto [t, rh] = air(k);
      tub = *tub_after(tub, Temperature(t), Share(rh / 100), Seconds(3600), UptakeCoefficient(uptake / 1000 / 3600));
    }
    return tub.water.value * 1000;
  };
  struct Air {
    double t, rh;
  };
  const auto constant = [](double t, double rh) { return [t, rh](int) { return Air{t, rh}; }; };
  EXPECT_NEAR(after(500, 0, 0.0016, 168, constant(20, 80)), 287.425, 0.006);
  EXPECT_NEAR(after(500, 0, 0.0016, 720, constant(20, 80)), 1050.058, 0.006);
  EXPECT_NEAR(after(500, 0, 0.0016, 720, constant(5, 80)), 390.451, 0.006);
  EXPECT_NEAR(after(500, 0, 0.0016, 720, constant(-10, 80)), 112.087, 0.006);
  EXPECT_NEAR(after(300, 0, 0.0030, 2160, constant(20, 60)), 644.048, 0.006);
  const auto daily = [](int k) { return Air{5 + 5 * std::sin(2 * std::numbers::pi * k / 24), 75}; };
  EXPECT_NEAR(after(385, 115, 0.0016, 1440, daily), 771.394, 0.006);
}

TEST(CalciumChloride, ATubDriesOutInDryAirAndNoFurther) {
  AbsorberTub tub{Mass(0.3), Mass(0.0005)};
  for (int k = 0; k < 48; ++k) tub = *tub_after(tub, Temperature(20), Share(0.1), Seconds(3600));
  EXPECT_EQ(tub.water.value, 0);
  EXPECT_EQ(tub.total().value, 0.3);
}

// Common practice: at work above 0 degC and 5 % above the deliquescence humidity.
TEST(CalciumChloride, TellsTheShareOfHoursAtWork) {
  const auto share = [](auto air) {
    int working = 0;
    for (int k = 0; k < 168; ++k) {
      const auto [t, rh] = air(2 * std::numbers::pi * k / 24);
      if (*absorber_works(Temperature(t), Share(rh / 100))) ++working;
    }
    return working / 168.0;
  };
  struct Air {
    double t, rh;
  };
  EXPECT_NEAR(share([](double phase) { return Air{2 + 6 * std::sin(phase), 80}; }), 0.625, 1e-12);
  EXPECT_EQ(share([](double phase) { return Air{-4 + 3 * std::sin(phase), 85}; }), 0);
  EXPECT_EQ(share([](double) { return Air{10, 42}; }), 0);
  EXPECT_EQ(share([](double) { return Air{10, 46}; }), 1);
}

TEST(CalciumChloride, StrongerBrineHoldsItsWaterTighter) {
  for (double t = -40; t <= 60; t += 10) {
    double before = 2;
    for (double fraction = 0.01; fraction < 0.55; fraction += 0.005) {
      const double activity = brine_water_activity(Share(fraction), Temperature(t))->value;
      ASSERT_LT(activity, before) << t << " " << fraction;
      before = activity;
    }
  }
}

TEST(CalciumChloride, RefusesWhatHasNoMeaning) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_EQ(brine_water_activity(Share(0), Temperature(20))->value, 1);
  for (const double fraction : {-0.1, 0.005, 0.61, nan}) {
    EXPECT_FALSE(brine_water_activity(Share(fraction), Temperature(20))) << fraction;
  }
  for (const double t : {-41.0, 61.0, nan}) {
    EXPECT_FALSE(deliquescence_humidity(Temperature(t))) << t;
    EXPECT_FALSE(absorber_rate_factor(Temperature(t), Share(0.8))) << t;
    EXPECT_FALSE(absorber_works(Temperature(t), Share(0.8))) << t;
    EXPECT_FALSE(tub_after({Mass(1), Mass(0)}, Temperature(t), Share(0.8), Seconds(60))) << t;
  }
  EXPECT_FALSE(brine_boundary(Share(nan)));
  EXPECT_FALSE(brine_equilibrium(Temperature(20), Share(0.2)));
  EXPECT_FALSE(brine_equilibrium(Temperature(20), Share(1)));
  EXPECT_FALSE(brine_equilibrium(Temperature(20), Share(nan)));
  EXPECT_FALSE(tub_after({Mass(0), Mass(0)}, Temperature(20), Share(0.8), Seconds(60)));
  EXPECT_FALSE(tub_after({Mass(1), Mass(0)}, Temperature(20), Share(0.8), Seconds(7200)));
}

}  // namespace
}  // namespace overwinter
