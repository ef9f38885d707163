#include "rules/physics/robust_trend.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <string>
#include <vector>

#include <rapidcheck/gtest.h>

namespace overwinter {
namespace {

struct RobustTrendRow {
  std::string name;
  std::vector<double> days, psig;
  double slope_per_week, intercept, least_squares_per_week, sigma;
};

// Theil 1950, Sen 1968; independent recomputation. B holds one reading far off.
std::vector<RobustTrendRow> robust_trend_rows() {
  return {
      {"A",
       {0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13},
       {65, 65, 64, 65, 65, 64, 64, 64, 63, 64, 63, 63, 64, 63},
       -1.0769,
       65.0000,
       -1.0462,
       0.5132},
      {"B",
       {0, 2, 4, 6, 8, 10, 12, 14},
       {65.2, 64.8, 65.1, 65.0, 64.9, 65.3, 58.0, 65.0},
       -0.1375,
       65.1482,
       -1.4542,
       0.1615},
      {"C", {0, 7, 14, 21, 28, 35}, {80.1, 79.6, 79.8, 79.2, 79.3, 78.8}, -0.2000, 79.9500, -0.2286, 0.2224},
  };
}

TEST(RobustTrend, ReproducesTheRecomputation) {
  for (const auto& row : robust_trend_rows()) {
    const auto trend = robust_trend(row.days, row.psig);
    ASSERT_TRUE(trend) << row.name;
    EXPECT_NEAR(trend->slope * 7, row.slope_per_week, 0.00006) << row.name;
    EXPECT_NEAR(trend->intercept, row.intercept, 0.00006) << row.name;
    EXPECT_NEAR(trend->robust_sigma, row.sigma, 0.00006) << row.name;
  }
}

// By the standard error of least squares (textbook), from the scatter that the few bad ones cannot raise.
TEST(RobustTrend, AgreesWithLeastSquaresUnlessAReadingIsFarOff) {
  for (const auto& row : robust_trend_rows()) {
    const auto trend = robust_trend(row.days, row.psig);
    ASSERT_TRUE(trend) << row.name;
    const double apart = std::abs(trend->slope - row.least_squares_per_week / 7);
    const double error = trend->robust_sigma / std::sqrt(squared_spread(row.days));
    if (row.name == "B") {
      EXPECT_GT(apart, 10 * error);
    } else {
      EXPECT_LT(apart, error) << row.name;
    }
  }
}

TEST(RobustTrend, IsNotBentByTwoBadReadingsInTen) {
  // Breakdown at 29 % (Sen 1968).
  std::vector<double> t(10), y(10);
  std::iota(t.begin(), t.end(), 0.0);
  for (std::size_t i = 0; i < 10; ++i) y[i] = 3 - 0.5 * t[i];
  y[4] = 1e6;
  y[9] = -1e6;
  const auto trend = robust_trend(t, y);
  ASSERT_TRUE(trend);
  EXPECT_DOUBLE_EQ(trend->slope, -0.5);
  EXPECT_DOUBLE_EQ(trend->intercept, 3);
}

RC_GTEST_PROP(RobustTrend, FindsAnExactLineInAnyOrder, ()) {
  const double slope = *rc::gen::inRange(-100, 101) / 8.0;
  const double intercept = *rc::gen::inRange(-100, 101) / 8.0;
  auto t = *rc::gen::suchThat(rc::gen::container<std::vector<int>>(rc::gen::inRange(-50, 50)), [](const auto& v) {
    return std::any_of(v.begin(), v.end(), [&](int x) { return x != v.front(); });
  });
  std::vector<double> times(t.begin(), t.end()), values;
  for (double x : times) values.push_back(intercept + slope * x);
  const auto trend = robust_trend(times, values);
  RC_ASSERT(trend.has_value());
  RC_ASSERT(std::abs(trend->slope - slope) < 1e-12);
  RC_ASSERT(std::abs(trend->intercept - intercept) < 1e-9);
}

TEST(RobustTrend, HasNoValueWithoutTwoTimes) {
  const std::vector<double> none, one{1}, same{2, 2, 2}, three{1, 2, 3};
  EXPECT_FALSE(robust_trend(none, none));
  EXPECT_FALSE(robust_trend(one, one));
  EXPECT_FALSE(robust_trend(same, three));
  EXPECT_FALSE(robust_trend(three, one));
}

TEST(RobustTrend, HasNoValueForWhatIsNotFinite) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double infinity = std::numeric_limits<double>::infinity();
  const std::vector<double> t{1, 2, 3};
  EXPECT_FALSE(robust_trend(t, std::vector<double>{1, nan, 3}));
  EXPECT_FALSE(robust_trend(std::vector<double>{1, infinity, 3}, t));
  EXPECT_FALSE(robust_trend(std::vector<double>{0, 1e-320, 2e-320}, t));
  EXPECT_FALSE(median(std::vector<double>{1, nan}));
}

TEST(RobustTrend, TakesFourHundredReadingsAndNoMore) {
  std::vector<double> t(most_points);
  std::iota(t.begin(), t.end(), 0.0);
  EXPECT_TRUE(robust_trend(t, t));
  t.push_back(1000);
  EXPECT_FALSE(robust_trend(t, t));
}

// By hand: at -1, 0, 1 the slope is (c - a) / 2, of variance sigma^2 (2 - 2 r^2) / 4, where r^2 correlates the outer
// two.
TEST(SlopeStandardError, OfErrorsThatLastIsThatOfTheirCorrelation) {
  const double r = std::exp(-1 / 3.0);
  const auto error = slope_standard_error_of_lasting(0.5, 3, std::vector<double>{-1, 0, 1});
  ASSERT_TRUE(error);
  EXPECT_NEAR(*error, 0.5 * std::sqrt((1 - r * r) / 2), 1e-12);
}

// n readings of a first-order autoregressive series tell as much as n (1 - r) / (1 + r) independent ones: Bayley and
// Hammersley, J. R. Stat. Soc. Suppl. 8 (1946) 184, from memory.
TEST(SlopeStandardError, OfErrorsThatLastHasTheEffectiveSampleSizeOfManyReadings) {
  std::vector<double> days(most_points);
  std::iota(days.begin(), days.end(), 0.0);
  const double independent = 1 / std::sqrt(squared_spread(days));
  for (const double memory : {0.5, 1.0, 3.0}) {
    const double r = std::exp(-1 / memory);
    const auto lasting = slope_standard_error_of_lasting(1, memory, days);
    ASSERT_TRUE(lasting);
    EXPECT_NEAR(*lasting / independent, std::sqrt((1 + r) / (1 - r)), 0.05) << memory;
  }
  const auto none = slope_standard_error_of_lasting(1, 1e-3, days);
  EXPECT_NEAR(none.value_or(0), independent, 1e-12) << "errors that do not last are independent";
}

TEST(SlopeStandardError, OfErrorsThatLastHasNoValueOutsideItsRange) {
  const std::vector<double> none, same{2, 2}, tenths{0.1, 0.1, 0.1}, days{0, 1, 2};
  EXPECT_FALSE(slope_standard_error_of_lasting(1, 3, none));
  EXPECT_FALSE(slope_standard_error_of_lasting(1, 3, same));
  EXPECT_FALSE(slope_standard_error_of_lasting(1, 3, tenths));
  EXPECT_FALSE(slope_standard_error_of_lasting(1, 0, days));
  EXPECT_FALSE(slope_standard_error_of_lasting(-1, 3, days));
}

TEST(Median, IsTheMiddleOrTheMeanOfTheTwoMiddles) {
  EXPECT_FALSE(median(std::vector<double>{}));
  EXPECT_EQ(*median(std::vector<double>{7}), 7);
  EXPECT_EQ(*median(std::vector<double>{9, 1, 5}), 5);
  EXPECT_EQ(*median(std::vector<double>{9, 1, 5, 6}), 5.5);
}

// By hand: ten daily readings lie 0.5, 1.5 .. 4.5 from their mean, squared and summed 82.5; n (n^2 - 1) / 12 (textbook)
// says the same.
TEST(SquaredSpread, IsThatOfTheTimesAboutTheirMean) {
  std::vector<double> days(10);
  std::iota(days.begin(), days.end(), 100.0);
  EXPECT_NEAR(squared_spread(days), 82.5, 1e-9);
  EXPECT_NEAR(squared_spread(days), 10 * (10 * 10 - 1) / 12.0, 1e-9);
}

}  // namespace
}  // namespace overwinter
