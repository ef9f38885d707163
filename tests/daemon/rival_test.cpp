#include "daemon/rival.h"

#include <gtest/gtest.h>

namespace overwinter {
namespace {

using namespace std::chrono_literals;

TEST(Rival, IsSuspectedAtTheThirdShortConnectionInARow) {
  RivalWatch watch;
  Span now = one_hour;
  for (const bool suspected : {false, false, true, true}) {
    watch.connected(now += 1s);
    EXPECT_EQ(watch.lost(now += 700ms), suspected);
  }
  watch.connected(now += 1s);
  EXPECT_FALSE(watch.lost(now += one_minute)) << "one that lasted";
  watch.connected(now += 1s);
  EXPECT_FALSE(watch.lost(now += 1s));
}

TEST(Rival, MakesNoAttemptFail) {
  RivalWatch watch;
  Span now = one_hour;
  for (int round = 0; round < 10; ++round) {  // a broker that restarts again and again
    watch.connected(now += 1s);
    EXPECT_FALSE(watch.lost(now += 1s));
    EXPECT_FALSE(watch.lost(now += 1s));
  }
}

TEST(Rival, IsGoneAfterAnHourOfOneConnection) {
  RivalWatch watch;
  EXPECT_FALSE(watch.is_alone(one_day));
  watch.connected(one_day);
  EXPECT_FALSE(watch.is_alone(one_day + 59min));
  EXPECT_TRUE(watch.is_alone(one_day + 60min));
  watch.lost(one_day + 61min);
  EXPECT_FALSE(watch.is_alone(one_day + 62min));
}

}  // namespace
}  // namespace overwinter
