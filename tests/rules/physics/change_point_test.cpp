#include "rules/physics/change_point.h"

#include <gtest/gtest.h>

#include <limits>
#include <vector>

namespace overwinter {
namespace {

// Level to day `changes`, then falling by `slope` a day; off by `off`, up and down in turn.
struct Broken {
  std::vector<double> days, values;

  Broken(int count, int changes, double slope, double off) {
    constexpr int signs[] = {1, -1, -1, 1, 1, 1, -1, -1, 1, -1};
    for (int day = 0; day < count; ++day) {
      days.push_back(day);
      values.push_back(50 + (day > changes ? slope * (day - changes) : 0) + off * signs[day % 10]);
    }
  }
};

TEST(ChangePoint, FindsTheDayOnWhichALossBegan) {
  for (const int changes : {8, 14, 20}) {
    const Broken loss(28, changes, -1, 0.2);
    const auto found = change_point(loss.days, loss.values, 5, 0.16);
    ASSERT_TRUE(found) << changes;
    EXPECT_TRUE(found->clear) << changes;
    EXPECT_NEAR(static_cast<double>(found->first_after), changes + 1, 1) << changes;
  }
}

TEST(ChangePoint, IsNotBentByAFewBadReadings) {
  Broken loss(28, 14, -1, 0.2);
  loss.values[5] = 90;
  loss.values[22] = 10;
  const auto found = change_point(loss.days, loss.values, 5, 0.16);
  ASSERT_TRUE(found);
  EXPECT_TRUE(found->clear);
  EXPECT_NEAR(static_cast<double>(found->first_after), 15, 2);
}

TEST(ChangePoint, IsNotClearOnAStraightLineNorWithinTheNoise) {
  const Broken sound(28, 28, 0, 0.2), steady(28, 0, -1, 0.2);
  for (const Broken& line : {sound, steady}) {
    const auto found = change_point(line.days, line.values, 5, 0.16);
    EXPECT_FALSE(found && found->clear);
  }
  const Broken loss(28, 14, -1, 0.2);
  const auto found = change_point(loss.days, loss.values, 5, 4);
  EXPECT_FALSE(found && found->clear) << "errors of 4 explain it";
}

TEST(ChangePoint, LeavesEachLineItsReadings) {
  const Broken loss(28, 25, -5, 0.01);
  const auto found = change_point(loss.days, loss.values, 5, 0.01);
  ASSERT_TRUE(found);
  EXPECT_LE(found->first_after, 23U);
  EXPECT_FALSE(change_point(std::vector<double>{0, 1, 2, 3}, std::vector<double>{0, 0, 0, -5}, 3, 0));
}

TEST(ChangePoint, HasNoValueForWhatIsNoSeries) {
  const std::vector<double> none, three{1, 2, 3}, two{1, 2};
  EXPECT_FALSE(change_point(none, none, 3, 0));
  EXPECT_FALSE(change_point(three, two, 3, 0));
  const Broken loss(28, 14, -1, 0.2);
  EXPECT_FALSE(change_point(loss.days, loss.values, 2, 0.1));
  EXPECT_FALSE(change_point(loss.days, loss.values, 5, std::numeric_limits<double>::quiet_NaN()));
}

}  // namespace
}  // namespace overwinter
