#include "rules/physics/electrolyte.h"

#include <gtest/gtest.h>

namespace overwinter {
namespace {

struct GravityRow {
  double volts, celsius, gravity;
};

// V / 6 - 0.845 (battery handbooks, from memory), independent recomputation.
constexpr GravityRow gravity_rows[] = {
    {12.65, 25, 1.2633}, {12.24, 25, 1.1950}, {12.6, -10, 1.2620},
    {12.1, 0, 1.1767},   {11.89, 25, 1.1367}, {12.8, 35, 1.2863},
};

TEST(SpecificGravity, FollowsFromTheRestedVoltage) {
  for (const auto& row : gravity_rows) {
    const auto gravity = lead_acid_specific_gravity(Voltage(row.volts), Temperature(row.celsius));
    ASSERT_TRUE(gravity);
    EXPECT_NEAR(gravity->value, row.gravity, 0.00006);
  }
}

TEST(SpecificGravity, StaysNearTheNominalPairsOfTheTrade) {
  // A battery maker's table (Discover): nominal pairs, off by up to 0.017 at the low end.
  constexpr double pairs[][2] = {{12.65, 1.265}, {12.45, 1.225}, {12.24, 1.190}, {12.06, 1.155}, {11.89, 1.120}};
  for (const auto& [volts, gravity] : pairs) {
    EXPECT_NEAR(lead_acid_specific_gravity(Voltage(volts), Temperature(25))->value, gravity, 0.0175);
  }
}

TEST(SpecificGravity, OfADeadBatteryIsThatOfWater) {
  EXPECT_EQ(lead_acid_specific_gravity(Voltage(9), Temperature(0))->value, 1);
}

TEST(SpecificGravity, HasNoValueForABatteryThatIsNotAtRest) {
  EXPECT_FALSE(lead_acid_specific_gravity(Voltage(13.6), Temperature(0)));
  EXPECT_FALSE(lead_acid_specific_gravity(Voltage(0), Temperature(0)));
}

struct FreezingRow {
  double gravity, fahrenheit;
};

// US Army TM 5-1185 table III (1.100, 1.150, 1.200, 1.250, 1.280), a vehicle maker's manual (1.050, 1.225), water; then
// points between, independent recomputation.
constexpr FreezingRow freezing_rows[] = {
    {1.000, 32},   {1.050, 27},   {1.100, 19},     {1.150, 5},    {1.200, -16},
    {1.225, -35},  {1.250, -62},  {1.280, -90},    {1.075, 23.0}, {1.12, 13.4},
    {1.155, 2.90}, {1.19, -11.8}, {1.2125, -25.5}, {1.24, -51.2}, {1.265, -76.0},
};

TEST(ElectrolyteFreezingPoint, FollowsTheArmysTable) {
  for (const auto& row : freezing_rows) {
    const auto t = electrolyte_freezing_point(SpecificGravity(row.gravity));
    ASSERT_TRUE(t);
    EXPECT_NEAR(t->celsius(), (row.fahrenheit - 32) / 1.8, 0.006) << row.gravity;
  }
}

TEST(ElectrolyteFreezingPoint, AgreesWithTheHandbook) {
  // Linden, from memory.
  constexpr double handbook[][2] = {{1.10, -7.7}, {1.15, -15}, {1.20, -27}, {1.25, -52}, {1.30, -70}};
  for (const auto& [gravity, celsius] : handbook) {
    EXPECT_NEAR(electrolyte_freezing_point(SpecificGravity(gravity))->celsius(), celsius, 2.3);
  }
}

struct MarginRow {
  double volts, celsius, gravity, freezing, margin;
};

// Both steps together, independent recomputation.
constexpr MarginRow margin_rows[] = {
    {12.65, -10, 1.2703, -62.77, 52.77}, {12.24, -20, 1.2040, -28.36, 8.36}, {12.06, -15, 1.1730, -20.37, 5.37},
    {11.89, -10, 1.1437, -14.01, 4.01},  {12.4, -30, 1.2327, -41.82, 11.82}, {11.6, -5, 1.0943, -6.72, 1.72},
};

TEST(ElectrolyteFreezingPoint, FollowsFromTheVoltage) {
  for (const auto& row : margin_rows) {
    const Temperature t(row.celsius);
    const auto gravity = lead_acid_specific_gravity(Voltage(row.volts), t);
    ASSERT_TRUE(gravity);
    EXPECT_NEAR(gravity->value, row.gravity, 0.00006);
    const auto freezing = electrolyte_freezing_point(*gravity);
    ASSERT_TRUE(freezing);
    EXPECT_NEAR(freezing->celsius(), row.freezing, 0.011);
    EXPECT_NEAR((t - *freezing).value, row.margin, 0.011);
  }
}

TEST(ElectrolyteFreezingPoint, NeverRisesWithTheAcidsStrength) {
  double previous = 0;
  for (double gravity = 1; gravity <= 1.32; gravity += 0.001) {
    const auto t = electrolyte_freezing_point(SpecificGravity(gravity));
    ASSERT_TRUE(t);
    EXPECT_LE(t->celsius(), previous);
    previous = t->celsius();
  }
  EXPECT_FALSE(electrolyte_freezing_point(SpecificGravity(0.99)));
  EXPECT_FALSE(electrolyte_freezing_point(SpecificGravity(1.33)));
}

}  // namespace
}  // namespace overwinter
