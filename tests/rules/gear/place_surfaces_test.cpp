#include "rules/gear/place_surfaces.h"

#include <gtest/gtest.h>

#include <optional>

namespace overwinter {
namespace {

PlaceAir read_at_once(double celsius, double humidity) {
  return reckon_air({celsius, 0, {}, true, false}, {humidity, 0, {}, true, false}, HumidityOver::water);
}

std::optional<Reckoned> limit_on(double surface, const PlaceAir& air) {
  return limit_point(surface, air.vapor_pressure.value, air.dew_point, air.frost_point);
}

// f_Rsi = 1 - R_si / (R_si + d / conductivity + R_se) with the resistances of ISO 13788:2012, by hand: of 4 mm glass at
// 1 W/(m K) 1 - 0.13 / 0.174, of 1 mm aluminum 1 - 0.13 / 0.17, of 25 mm foam at 0.035 W/(m K) behind furniture
// 1 - 0.25 / 1.0043.
TEST(PlaceSurfaces, HaveTheTemperatureFactorsOfTheStandard) {
  EXPECT_NEAR(temperature_factor_of(PlaceSurface::single_glass), 0.2529, 0.002);
  EXPECT_NEAR(temperature_factor_of(PlaceSurface::bare_metal), 0.2353, 0.002);
  EXPECT_NEAR(temperature_factor_of(PlaceSurface::insulated), 0.7511, 0.002);
}

// Independent Python implementation of the limit points of Murphy & Koop 2005: over ice on a surface below 0 degC where
// the vapor is below that over ice at 0 degC, else over water.
TEST(PlaceSurfaces, TakeUpWaterFromTheirLimitPointDown) {
  struct Row {
    double inside, rh_percent, surface, limit;
    bool frost;
  };
  constexpr Row table[] = {
      {5, 70, -2.650, -0.007, true}, {5, 70, 2.500, -0.009, false},  {2, 85, -8.458, -0.222, true},
      {10, 60, 2.530, 2.602, false}, {10, 60, 8.500, 2.602, false},  {-5, 80, -6.500, -7.026, true},
      {1, 90, 2.500, -0.453, false}, {15, 45, -7.950, 3.177, false},
  };
  for (const Row& row : table) {
    const PlaceAir air = read_at_once(row.inside, row.rh_percent / 100);
    const auto limit = limit_on(row.surface, air);
    ASSERT_TRUE(limit) << row.surface;
    EXPECT_NEAR(limit->value, row.limit, 6e-4) << row.surface;
    EXPECT_EQ(limit->value, (row.frost ? air.frost_point : air.dew_point)->value) << row.surface;
  }
}

TEST(PlaceSurfaces, HaveASmallerMarginWhenTheyAreColder) {
  const PlaceAir air = read_at_once(8, 0.6);
  double before = -1e9;
  for (double surface = -30; surface < 12; surface += 0.25) {
    const double margin = surface - limit_on(surface, air)->value;
    ASSERT_GT(margin, before) << surface;
    before = margin;
  }
}

}  // namespace
}  // namespace overwinter
