#include "rules/physics/glycol.h"

#include <gtest/gtest.h>

namespace overwinter {
namespace {

double fahrenheit(double celsius) { return celsius * 1.8 + 32; }

struct GlycolRow {
  double volume_percent, freezing;
};

// Melinder 2010 after conversion from volume to mass, independent recomputation.
constexpr GlycolRow glycol_rows[] = {{10, -2.99}, {20, -7.47}, {27, -11.37}, {30, -13.31}, {40, -21.42}, {50, -33.55}};

TEST(GlycolFreezingPoint, ReproducesTheRecomputation) {
  for (const auto& row : glycol_rows) {
    const auto t = glycol_freezing_point(Share(row.volume_percent / 100));
    ASSERT_TRUE(t);
    EXPECT_NEAR(t->celsius(), row.freezing, 0.006);
  }
}

// The polynomial itself, by mass; volume fractions worked back from the densities. Independent recomputation.
TEST(GlycolFreezingPoint, FollowsThePolynomialByMass) {
  constexpr double by_mass[][2] = {{10, -2.867},  {20, -7.173},  {25, -9.785},
                                   {30, -12.789}, {40, -20.568}, {50, -32.193}};
  for (const auto& [mass_percent, celsius] : by_mass) {
    const double glycol = mass_percent / 1036;
    const double water = (100 - mass_percent) / 998.2;
    EXPECT_NEAR(glycol_freezing_point(Share(glycol / (glycol + water)))->celsius(), celsius, 0.0011);
  }
}

TEST(GlycolFreezingPoint, StaysWithin1Point4KelvinOfLangesHandbook) {
  // Lange's Handbook of Chemistry, 15th ed., table 5.13, percent by volume.
  constexpr double lange[][2] = {{5, -1.1},   {10, -2.2},  {15, -3.9},  {20, -6.7},  {25, -8.9},
                                 {30, -12.8}, {35, -16.1}, {40, -20.6}, {45, -26.7}, {50, -33.3}};
  for (const auto& [percent, celsius] : lange) {
    EXPECT_NEAR(glycol_freezing_point(Share(percent / 100))->celsius(), celsius, 1.4) << percent;
  }
}

TEST(GlycolFreezingPoint, OfWaterIsZero) { EXPECT_NEAR(glycol_freezing_point(Share(0))->celsius(), 0, 0.1); }

TEST(GlycolBurstPoint, FollowsThePublishedTable) {
  // Dow engineering guide for inhibited propylene glycol, from memory.
  constexpr double published[][2] = {{12, 20},  {20, 10},  {24, 0},   {28, -10},
                                     {30, -20}, {33, -30}, {35, -60}, {50, -60}};
  for (const auto& [percent, degF] : published) {
    EXPECT_NEAR(fahrenheit(glycol_burst_point(Share(percent / 100))->celsius()), degF, 1e-9) << percent;
  }
}

TEST(Glycol, FreezingAndBurstPointsFallWithEveryPercent) {
  for (int percent = 0; percent < 59; ++percent) {
    const Share less(percent / 100.0);
    const Share more((percent + 1) / 100.0);
    EXPECT_LT(glycol_freezing_point(more)->celsius(), glycol_freezing_point(less)->celsius()) << percent;
    EXPECT_LE(glycol_burst_point(more)->celsius(), glycol_burst_point(less)->celsius()) << percent;
  }
}

TEST(Glycol, FreezesBeforeItBursts) {
  for (int percent = 1; percent <= 59; ++percent) {
    const Share share(percent / 100.0);
    EXPECT_LT(glycol_burst_point(share)->celsius(), glycol_freezing_point(share)->celsius()) << percent;
  }
}

TEST(Glycol, HasNoValueOutsideItsRange) {
  EXPECT_FALSE(glycol_freezing_point(Share(-0.01)));
  EXPECT_FALSE(glycol_freezing_point(Share(0.60)));
  EXPECT_FALSE(glycol_burst_point(Share(0.61)));
  EXPECT_FALSE(diluted_fraction(Share(0.3), Volume(0), Volume(0)));
  EXPECT_FALSE(diluted_fraction(Share(0.3), Volume(-1), Volume(2)));
}

struct DilutionRow {
  double percent, antifreeze_liters, water_liters, result_percent, freezing, burst;
};

// Volume balance, then both tables; independent recomputation.
constexpr DilutionRow dilution_rows[] = {
    {30, 8, 0, 30.00, -13.31, -28.89},  {30, 8, 2, 24.00, -9.61, -17.78},  {25, 6, 0, 25.00, -10.18, -19.17},
    {25, 6, 1.5, 20.00, -7.47, -12.22}, {50, 4, 4, 25.00, -10.18, -19.17}, {35, 10, 1, 31.82, -14.57, -32.26},
};

TEST(Glycol, IsWeakenedByWaterLeftInTheLine) {
  for (const auto& row : dilution_rows) {
    const auto share = diluted_fraction(Share(row.percent / 100), Volume(row.antifreeze_liters / 1000),
                                        Volume(row.water_liters / 1000));
    ASSERT_TRUE(share);
    EXPECT_NEAR(share->value * 100, row.result_percent, 0.006);
    EXPECT_NEAR(glycol_freezing_point(*share)->celsius(), row.freezing, 0.011);
    EXPECT_NEAR(glycol_burst_point(*share)->celsius(), row.burst, 0.011);
  }
}

}  // namespace
}  // namespace overwinter
