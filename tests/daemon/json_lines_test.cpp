#include "daemon/json_lines.h"

#include <gtest/gtest.h>

#include <sstream>

namespace overwinter {
namespace {

TEST(JsonLines, ReadsMessagesAndPassesOverUnknownMembers) {
  std::istringstream in(
      "{\"at\":\"2026-12-01T08:00:00Z\",\"x\":[1],\"topic\":\"t\",\"payload\":\"{\\\"a\\\":1}\",\"retained\":true}\n");
  JsonLines lines(in);
  CapturedMessage message;
  ASSERT_EQ(lines.next(message), JsonLines::Read::message);
  EXPECT_EQ(message.topic, "t");
  EXPECT_EQ(message.payload, "{\"a\":1}");
  EXPECT_TRUE(message.retained);
  EXPECT_EQ(lines.next(message), JsonLines::Read::end);
}

TEST(JsonLines, NumbersABrokenLineAndGoesOn) {
  std::istringstream in(
      "\nnonsense\n{\"at\":\"soon\"}\n{\"at\":\"2026-12-01T08:00:00Z\",\"topic\":\"t\",\"payload\":\"1\"}");
  JsonLines lines(in);
  CapturedMessage message;
  EXPECT_EQ(lines.next(message), JsonLines::Read::broken);
  EXPECT_EQ(lines.line(), 2U);
  EXPECT_EQ(lines.next(message), JsonLines::Read::broken);
  EXPECT_EQ(lines.line(), 3U);
  EXPECT_EQ(lines.next(message), JsonLines::Read::message);
  EXPECT_FALSE(message.retained);
}

TEST(JsonLines, GivesUpALineThatIsTooLongAndGoesOn) {
  std::istringstream in(std::string(1'000'000, 'x') +
                        "\n{\"at\":\"2026-12-01T08:00:00Z\",\"topic\":\"t\",\"payload\":\"1\"}\n");
  JsonLines lines(in);
  CapturedMessage message;
  EXPECT_EQ(lines.next(message), JsonLines::Read::broken);
  EXPECT_EQ(lines.why(), "the line is too long");
  EXPECT_EQ(lines.next(message), JsonLines::Read::message);
}

}  // namespace
}  // namespace overwinter
