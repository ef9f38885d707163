#include "rules/physics/knots.h"

#include <gtest/gtest.h>

#include <array>

namespace overwinter {
namespace {

constexpr std::array<Knot, 3> bend = {{{0, 10}, {1, 20}, {3, 0}}};

TEST(Knots, AreJoinedByStraightLines) {
  EXPECT_EQ(interpolate(bend, 0), 10);
  EXPECT_EQ(interpolate(bend, 0.25), 12.5);
  EXPECT_EQ(interpolate(bend, 1), 20);
  EXPECT_EQ(interpolate(bend, 2), 10);
  EXPECT_EQ(interpolate(bend, 3), 0);
}

TEST(Knots, HoldTheirEnds) {
  EXPECT_EQ(interpolate(bend, -5), 10);
  EXPECT_EQ(interpolate(bend, 99), 0);
}

}  // namespace
}  // namespace overwinter
