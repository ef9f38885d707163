#include "rules/quantity/age.h"

#include <gtest/gtest.h>

namespace overwinter {
namespace {

TEST(Age, IsOneNumber) {
  EXPECT_EQ(age_text(Span{59'999}), "59 s");
  EXPECT_EQ(age_text(one_minute), "1 min");
  EXPECT_EQ(age_text(50 * one_hour), "2 d");
  EXPECT_EQ(age_text(-one_hour), "0 s");
}

TEST(Age, GoesOverToTheGreaterUnitWhereThatTellsEnough) {
  EXPECT_EQ(age_text(one_hour), "1 h");
  EXPECT_EQ(age_text(2 * one_hour - Span{1}), "119 min");
  EXPECT_EQ(age_text(2 * one_hour), "2 h");
  EXPECT_EQ(age_text(one_day - Span{1}), "23 h");
  EXPECT_EQ(age_text(one_day), "1 d");
  EXPECT_EQ(age_text(2 * one_day - Span{1}), "47 h");
  EXPECT_EQ(age_text(2 * one_day), "2 d");
}

TEST(Age, IsToldAsAgo) {
  EXPECT_EQ(age_words(Span{59'999}), "just now");
  EXPECT_EQ(age_words(-one_hour), "just now");
  EXPECT_EQ(age_words(90 * one_minute), "90 min ago");
  EXPECT_EQ(age_words(4 * one_day), "4 d ago");
}

}  // namespace
}  // namespace overwinter
