// Ten lines a minute of a sort: our own choice, no source.
#include "daemon/log_limit.h"

#include <gtest/gtest.h>

namespace overwinter {
namespace {

constexpr Span begin = 1000 * one_hour;

TEST(LogLimit, AFloodIsAFewLinesAndOneThatCountsTheRest) {
  LogLimit limit;
  std::uint64_t logged = 0;
  for (int i = 0; i < 2997; ++i) {
    const Span now = begin + i * Span(20);
    EXPECT_TRUE(limit.left_out(now).empty());
    if (limit.admits("refused commands", now)) ++logged;
  }
  EXPECT_EQ(logged, LogLimit::lines_a_minute);
  EXPECT_EQ(limit.left_out(begin + one_minute),
            std::vector<std::string>{"and 2987 more refused commands in the last minute"});
  EXPECT_TRUE(limit.left_out(begin + 2 * one_minute).empty()) << "it is said once";
}

TEST(LogLimit, WhatIsSeldomIsAlwaysLogged) {
  LogLimit limit;
  for (int i = 0; i < 1000; ++i) {
    const Span now = begin + i * Span(6001);  // ten begin in a minute
    EXPECT_TRUE(limit.left_out(now).empty());
    EXPECT_TRUE(limit.admits("refused commands", now)) << i;
  }
}

TEST(LogLimit, OneSortTakesNoLineOfAnother) {
  LogLimit limit;
  for (int i = 0; i < 100; ++i) limit.admits("refused commands", begin);
  EXPECT_TRUE(limit.admits("readings that cannot be used", begin));
}

}  // namespace
}  // namespace overwinter
