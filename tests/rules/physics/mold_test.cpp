#include "rules/physics/mold.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <numbers>
#include <optional>

#include "tests/rules/physics/plain_units.h"

namespace overwinter {
namespace {

// All tables: independent Python implementation after Hukka & Viitanen 1999 and Ojanen et al. 2010, itself
// equal within 1e-14 to a second, public implementation on 8 runs of 4320 h.
constexpr MoldClass pine = MoldClass::very_sensitive;

double hourly(MoldState& state, double t, double rh, int hours, MoldClass mold_class = pine, double decline = 1) {
  for (int k = 0; k < hours; ++k) {
    state = *mold_after_hour(state, Temperature(t), Share(rh / 100), mold_class, decline);
  }
  return state.index;
}

TEST(Mold, ReproducesTheElementsOfTheModel) {
  struct Row {
    double t, rh, critical_80, critical_85, maximum, growth_per_day;
  };
  constexpr Row table[] = {
      {20, 90, 80.040, 85, 3.9950, 0.033994},    {20, 97, 80.040, 85, 5.5039, 0.096296},
      {10, 90, 82.030, 85, 3.7112, 0.021216},    {5, 95, 88.016, 88.016, 4.4001, 0.028082},
      {1, 99, 97.027, 97.027, 4.7645, 0.016676}, {25, 85, 80, 85, 2.6250, 0.017835},
      {30, 82, 80, 85, 1.6800, 0.012023},
  };
  for (const Row& row : table) {
    SCOPED_TRACE(row.t);
    const Temperature t(row.t);
    const Share rh(row.rh / 100);
    EXPECT_NEAR(mold_critical_humidity(t, pine)->value * 100, row.critical_80, 6e-4);
    EXPECT_NEAR(mold_critical_humidity(t, MoldClass::sensitive)->value * 100, row.critical_80, 6e-4);
    EXPECT_NEAR(mold_critical_humidity(t, MoldClass::medium_resistant)->value * 100, row.critical_85, 6e-4);
    EXPECT_NEAR(mold_critical_humidity(t, MoldClass::resistant)->value * 100, row.critical_85, 6e-4);
    EXPECT_NEAR(*mold_maximum_index(t, rh, pine), row.maximum, 6e-5);
    EXPECT_NEAR(mold_growth_rate(0, t, rh, pine)->value * day, row.growth_per_day, 6e-7);
  }
  EXPECT_EQ(*mold_maximum_index(Temperature(5), Share(0.85), pine), 0);
  EXPECT_EQ(mold_growth_rate(0, Temperature(5), Share(0.85), pine)->value, 0);
}

TEST(Mold, ReproducesTheIndexAtConstantConditions) {
  struct Row {
    MoldClass mold_class;
    double t, rh;
    double after_28, after_84, after_168, after_728;  // days
  };
  constexpr Row table[] = {
      {MoldClass::very_sensitive, 20, 90, 0.9516, 3.9187, 3.9950, 3.9950},
      {MoldClass::sensitive, 20, 90, 0.5492, 1.4256, 2.4205, 3.0450},
      {MoldClass::medium_resistant, 20, 90, 0.0662, 0.1974, 0.3900, 1.3840},
      {MoldClass::resistant, 20, 90, 0.0272, 0.0808, 0.1590, 0.5816},
      {MoldClass::very_sensitive, 20, 97, 4.3575, 5.5039, 5.5039, 5.5039},
      {MoldClass::very_sensitive, 10, 90, 0.5939, 2.5342, 3.7096, 3.7112},
      {MoldClass::very_sensitive, 5, 95, 0.7862, 3.6355, 4.4001, 4.4001},
      {MoldClass::sensitive, 5, 95, 0.4542, 1.2408, 2.1328, 3.4570},
      {MoldClass::very_sensitive, 2, 97, 0.5632, 2.3643, 3.8339, 3.8390},
      {MoldClass::very_sensitive, 20, 79.9, 0, 0, 0, 0},
  };
  for (const Row& row : table) {
    SCOPED_TRACE(row.after_28);
    MoldState state;
    EXPECT_NEAR(hourly(state, row.t, row.rh, 28 * 24, row.mold_class), row.after_28, 6e-5);
    EXPECT_NEAR(hourly(state, row.t, row.rh, 56 * 24, row.mold_class), row.after_84, 6e-5);
    EXPECT_NEAR(hourly(state, row.t, row.rh, 84 * 24, row.mold_class), row.after_168, 6e-5);
    EXPECT_NEAR(hourly(state, row.t, row.rh, 560 * 24, row.mold_class), row.after_728, 6e-5);
  }
}

TEST(Mold, TellsTheDayOnWhichMoldIsVisible) {
  struct Row {
    MoldClass mold_class;
    double t, rh;
    std::optional<double> days;
  };
  const Row table[] = {
      {MoldClass::very_sensitive, 20, 90, 59.542}, {MoldClass::sensitive, 20, 90, 280.000},
      {MoldClass::medium_resistant, 20, 90, {}},   {MoldClass::resistant, 20, 90, {}},
      {MoldClass::very_sensitive, 20, 97, 20.833}, {MoldClass::very_sensitive, 10, 90, 96.500},
      {MoldClass::very_sensitive, 5, 95, 71.542},  {MoldClass::sensitive, 5, 95, 263.292},
      {MoldClass::very_sensitive, 2, 97, 101.125}, {MoldClass::very_sensitive, 20, 79.9, {}},
  };
  for (const Row& row : table) {
    const auto time = mold_time_to_visible(Temperature(row.t), Share(row.rh / 100), row.mold_class);
    ASSERT_EQ(time.has_value(), row.days.has_value()) << row.t << " " << row.rh;
    if (row.days) {
      EXPECT_NEAR(time->value / day, *row.days, 2.0 / 24) << row.t << " " << row.rh;
    }
  }
}

TEST(Mold, GrowsAndDeclinesOverSeries) {
  MoldState state;
  EXPECT_NEAR(hourly(state, 20, 90, 960), 1.71605, 6e-6);
  EXPECT_NEAR(hourly(state, -5, 85, 1440), 0.76405, 6e-6);
  EXPECT_NEAR(hourly(state, 15, 88, 720), 1.74708, 6e-6);

  state = {};
  EXPECT_NEAR(hourly(state, 20, 90, 960, MoldClass::sensitive, 0.5), 0.78402, 6e-6);
  EXPECT_NEAR(hourly(state, -5, 85, 1440, MoldClass::sensitive, 0.5), 0.30802, 6e-6);
  EXPECT_NEAR(hourly(state, 15, 88, 720, MoldClass::sensitive, 0.5), 0.65948, 6e-6);

  state = {};
  for (int k = 0; k < 4320; ++k) {
    const double phase = 2 * std::numbers::pi * k / 24;
    hourly(state, 8 + 6 * std::sin(phase), 85 + 8 * std::sin(phase + std::numbers::pi / 2), 1);
  }
  EXPECT_NEAR(state.index, 0.31617, 6e-6);

  state = {};
  for (int cycle = 0; cycle < 90; ++cycle) {
    hourly(state, 22, 95, 12);
    hourly(state, 22, 60, 12);
  }
  EXPECT_NEAR(state.index, 4.70448, 6e-6);

  state = {};
  EXPECT_NEAR(hourly(state, 20, 97, 720), 4.70076, 6e-6);
  EXPECT_NEAR(hourly(state, 20, 50, 6), 4.69276, 6e-6);
  EXPECT_NEAR(hourly(state, 20, 50, 18), 4.69276, 6e-6);

  state = {};
  EXPECT_NEAR(hourly(state, 20, 97, 720, pine, 0.25), 4.70076, 6e-6);
  EXPECT_NEAR(hourly(state, 20, 50, 2160, pine, 0.25), 4.34276, 6e-6);
}

TEST(Mold, ASavedStateGoesOnAsIfNothingHappened) {
  MoldState whole;
  hourly(whole, 20, 97, 300);
  hourly(whole, 2, 60, 10);
  const MoldState saved{whole.index, whole.hours_off};
  MoldState loaded = saved;
  EXPECT_EQ(hourly(whole, 2, 60, 50), hourly(loaded, 2, 60, 50));
}

TEST(Mold, DamperAndWarmerIsNeverSlower) {
  for (double t = 1; t < 49; t += 3) {
    double before = std::numeric_limits<double>::infinity();
    for (double rh = 0.80; rh <= 1; rh += 0.01) {
      const auto time = mold_time_to_visible(Temperature(t), Share(rh), pine);
      if (!time) continue;
      ASSERT_LT(time->value, before) << t << " " << rh;
      before = time->value;
    }
    ASSERT_LT(before, std::numeric_limits<double>::infinity()) << t;
  }
}

TEST(Mold, AWetSurfaceCountsAsOneHundredPercent) {
  MoldState wet;
  MoldState saturated;
  EXPECT_EQ(hourly(wet, 10, 120, 100), hourly(saturated, 10, 100, 100));
}

TEST(Mold, RefusesWhatHasNoMeaning) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  for (const double t : {0.0, -5.0, 50.0, nan}) {
    EXPECT_FALSE(mold_critical_humidity(Temperature(t), pine)) << t;
    EXPECT_FALSE(mold_time_to_visible(Temperature(t), Share(0.95), pine)) << t;
  }
  EXPECT_FALSE(mold_after_hour({}, Temperature(nan), Share(0.9), pine));
  EXPECT_FALSE(mold_after_hour({}, Temperature(5), Share(nan), pine));
  EXPECT_FALSE(mold_after_hour({}, Temperature(5), Share(-0.1), pine));
  EXPECT_FALSE(mold_after_hour({nan, 0}, Temperature(5), Share(0.9), pine));
  EXPECT_FALSE(mold_after_hour({}, Temperature(5), Share(0.9), pine, 2));
  EXPECT_STREQ(mold_time_to_visible(Temperature(20), Share(0.5), pine).error().reason,
               "mold never becomes visible at these conditions");
}

}  // namespace
}  // namespace overwinter
