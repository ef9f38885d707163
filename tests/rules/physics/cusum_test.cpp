#include "rules/physics/cusum.h"

#include <gtest/gtest.h>

#include <limits>
#include <vector>

namespace overwinter {
namespace {

// Page 1954, evaluated independently (Python); k = 0.5, h = 5, alarm when strictly greater.
struct CusumRow {
  std::vector<double> residuals;
  double above, below;
  int first_alarm;  // 1-based, 0 none
};

TEST(Cusum, ReproducesPagesRecursion) {
  const CusumRow table[] = {
      {std::vector<double>(10, 0.3), 0, 0, 0},          {std::vector<double>(10, 1.5), 10, 0, 6},
      {{0, 0, 0, 0, 0, -2, -2, -2, -2, -2}, 0, 7.5, 9}, {{6}, 5.5, 0, 1},
      {{1, -1, 1, -1, 1, -1, 1, -1}, 0, 0.5, 0},        {std::vector<double>(20, 0.75), 5, 0, 0},
  };
  for (const CusumRow& row : table) {
    Cusum sums;
    int alarm = 0;
    int sample = 0;
    for (const double z : row.residuals) {
      ++sample;
      if (take_residual(sums, z) != Shift::none && alarm == 0) alarm = sample;
    }
    EXPECT_NEAR(sums.above, row.above, 1e-12);
    EXPECT_NEAR(sums.below, row.below, 1e-12);
    EXPECT_EQ(alarm, row.first_alarm);
  }
}

TEST(Cusum, TellsTheDirection) {
  Cusum sums;
  EXPECT_EQ(take_residual(sums, 9), Shift::up);
  sums = {};
  EXPECT_EQ(take_residual(sums, -9), Shift::down);
}

TEST(Cusum, PassesOverWhatIsNotANumber) {
  Cusum sums{2, 0};
  EXPECT_EQ(take_residual(sums, std::numeric_limits<double>::quiet_NaN()), Shift::none);
  EXPECT_EQ(take_residual(sums, std::numeric_limits<double>::infinity()), Shift::none);
  EXPECT_EQ(sums.above, 2);
}

}  // namespace
}  // namespace overwinter
