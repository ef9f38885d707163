#include "rules/physics/snow.h"

#include <gtest/gtest.h>

#include <limits>

namespace overwinter {
namespace {

// Independent Python implementation of Sturm et al. 2010, eq. 6 and table 4.
TEST(Snow, ReproducesTheDensityOfTheSnowClasses) {
  struct Row {
    SnowClass snow_class;
    double depth_cm;
    int day;
    double density, load_kpa;
  };
  constexpr Row table[] = {
      {SnowClass::prairie, 30, 15, 265.73, 0.7818},   {SnowClass::prairie, 60, 45, 308.90, 1.8176},
      {SnowClass::maritime, 40, -20, 245.33, 0.9624}, {SnowClass::alpine, 80, 60, 327.15, 2.5666},
      {SnowClass::tundra, 25, 30, 266.25, 0.6528},    {SnowClass::taiga, 50, 30, 217.00, 1.0640},
  };
  for (const Row& row : table) {
    const Length depth(row.depth_cm / 100);
    const Density density = *snow_density(depth, row.day, row.snow_class);
    EXPECT_NEAR(density.value, row.density, 6e-3);
    EXPECT_NEAR(snow_load(depth, density)->value / 1000, row.load_kpa, 6e-5);
  }
}

// 1 kPa is 20.885 lb/ft2 (definition of the pound-force and the foot): 30 cm of prairie pack weigh 16.328.
TEST(Snow, LoadInPoundsPerSquareFoot) {
  EXPECT_NEAR(snow_load(Length(0.3), Density(265.73))->value / 47.88026, 16.328, 1e-3);
}

TEST(Snow, DeeperAndLaterSnowIsDenserWithinTheBoundsOfItsClass) {
  for (const SnowClass snow_class : {SnowClass::alpine, SnowClass::maritime, SnowClass::prairie, SnowClass::tundra}) {
    for (int day = -92; day < 181; ++day) {
      const double density = snow_density(Length(0.5), day, snow_class)->value;
      ASSERT_GT(snow_density(Length(0.5), day + 1, snow_class)->value, density);
      ASSERT_GT(snow_density(Length(0.6), day, snow_class)->value, density);
      ASSERT_GT(density, 90);
      ASSERT_LT(density, 598);
    }
  }
}

TEST(Snow, RefusesWhatHasNoMeaning) {
  EXPECT_FALSE(snow_density(Length(0.3), -93, SnowClass::alpine));
  EXPECT_FALSE(snow_density(Length(0.3), 182, SnowClass::alpine));
  EXPECT_FALSE(snow_density(Length(-0.01), 10, SnowClass::alpine));
  EXPECT_FALSE(snow_density(Length(5.1), 10, SnowClass::alpine));
  EXPECT_FALSE(snow_load(Length(0.3), Density(1000)));
  EXPECT_FALSE(snow_load(Length(std::numeric_limits<double>::quiet_NaN()), Density(100)));
  EXPECT_EQ(snow_load(Length(0), Density(100))->value, 0);
}

}  // namespace
}  // namespace overwinter
