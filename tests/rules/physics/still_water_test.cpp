#include "rules/physics/still_water.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <numbers>

#include "tests/rules/physics/plain_units.h"

namespace overwinter {
namespace {

constexpr double inch = 0.0254;

// ASHRAE Handbook Fundamentals 2009 ch. 23, examples to eq. 1: pipe NPS 2 (bore 2.067 in, outside 2.375 in)
// with 1.5 in of insulation of 0.30 Btu in/(h ft2 degF), water at 42 degF: 1.4 h to 32 degF in air of -18
// degF, 4.6 h in air of 20 degF. The figures come out with the insulation as the only resistance.
TEST(StillWater, ReproducesTheHandbooksCoolingExamples) {
  WaterTube pipe{Length(2.067 * inch), Length(0.154 * inch)};
  pipe.insulation = Length(1.5 * inch);
  pipe.of_insulation = ThermalConductivity(0.30 * 0.1442279);  // Btu in/(h ft2 degF) in W/(m K)
  pipe.of_wall = ThermalConductivity(1e6);
  pipe.film = HeatTransferCoefficient(1e6);
  const Temperature start((42 - 32) / 1.8);
  EXPECT_NEAR(freezing_time(pipe, start, Temperature((-18 - 32) / 1.8))->to_zero.value / hour, 1.4, 0.05);
  EXPECT_NEAR(freezing_time(pipe, start, Temperature((20 - 32) / 1.8))->to_zero.value / hour, 4.6, 0.05);
}

// Independent Python implementation of the ASHRAE cooling equation and Plank's equation.
TEST(StillWater, AgreesWithAnIndependentImplementation) {
  struct Row {
    double inner_mm, outer_mm, insulated_mm, of_wall, film, start, air, cool_h, freeze_h;
  };
  constexpr Row table[] = {
      {12.3, 15.9, 15.9, 0.41, 8, 5, -7, 0.194, 4.149},   {12.3, 15.9, 15.9, 0.41, 8, 5, -15, 0.103, 1.936},
      {12.3, 15.9, 35.9, 0.41, 8, 5, -7, 0.331, 7.053},   {18.0, 22.0, 22.0, 390, 8, 10, -10, 0.371, 4.349},
      {38.0, 42.0, 42.0, 0.17, 8, 2, -10, 0.250, 11.316}, {12.3, 15.9, 15.9, 0.41, 25, 5, -20, 0.028, 0.515},
  };
  for (const Row& row : table) {
    SCOPED_TRACE(row.freeze_h);
    WaterTube tube{Length(row.inner_mm / 1000), Length((row.outer_mm - row.inner_mm) / 2000)};
    tube.insulation = Length((row.insulated_mm - row.outer_mm) / 2000);
    tube.of_wall = ThermalConductivity(row.of_wall);
    tube.film = HeatTransferCoefficient(row.film);
    const auto time = freezing_time(tube, Temperature(row.start), Temperature(row.air));
    EXPECT_NEAR(time->to_zero.value / hour, row.cool_h, 6e-4);
    EXPECT_NEAR(time->to_solid.value / hour, row.freeze_h, 6e-4);
  }
}

TEST(StillWater, ABarePlasticTubeInStillAirIsTheDefault) {
  const auto total = pipe_freezing_time(Length(0.0123), Length(0.0018), Temperature(5), Temperature(-7));
  EXPECT_NEAR(total->value / hour, 4.343, 6e-4);
}

TEST(StillWater, ColderAirFreezesSooner) {
  double before = std::numeric_limits<double>::infinity();
  for (double air = -0.5; air > -50; air -= 0.5) {
    const double time = pipe_freezing_time(Length(0.0123), Length(0.0018), Temperature(5), Temperature(air))->value;
    ASSERT_LT(time, before);
    before = time;
  }
}

TEST(StillWater, RefusesWhatHasNoMeaning) {
  const Length bore(0.012), wall(0.002);
  EXPECT_STREQ(pipe_freezing_time(bore, wall, Temperature(5), Temperature(0)).error().reason,
               "never: the air is not below 0 degC");
  EXPECT_FALSE(pipe_freezing_time(bore, wall, Temperature(-1), Temperature(-5)));
  EXPECT_FALSE(pipe_freezing_time(Length(0), wall, Temperature(5), Temperature(-5)));
  EXPECT_FALSE(pipe_freezing_time(bore, Length(-0.001), Temperature(5), Temperature(-5)));
  EXPECT_FALSE(pipe_freezing_time(bore, wall, Temperature(5), Temperature(std::numeric_limits<double>::quiet_NaN())));
  WaterTube tube{bore, wall};
  tube.film = HeatTransferCoefficient(0);
  EXPECT_FALSE(freezing_time(tube, Temperature(5), Temperature(-5)));
}

// Sums evaluated independently (Python).
TEST(StillWater, AddsUpExposureBelowABase) {
  struct Row {
    double mean, swing;
    int hours;
    double base, kelvin_hours;
  };
  constexpr Row table[] = {{-5, 6, 24, 0, 122.9834}, {1, 4, 48, 0, 38.7660},     {-10, 0, 12, 0, 120},
                           {2, 3, 72, 0, 12.7030},   {-5, 6, 24, -6.7, 27.1687}, {5, 0, 24, 0, 0}};
  for (const Row& row : table) {
    TemperatureTime sum;
    for (int k = 0; k < row.hours; ++k) {
      const Temperature t(row.mean + row.swing * std::sin(2 * std::numbers::pi * k / 24));
      sum = sum + exposure_below(Temperature(row.base), t, Seconds(hour));
    }
    EXPECT_NEAR(sum.value / hour, row.kelvin_hours, 6e-5);
  }
}

}  // namespace
}  // namespace overwinter
