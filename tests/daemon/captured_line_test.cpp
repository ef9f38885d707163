#include "daemon/captured_line.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <sstream>

namespace overwinter {
namespace {

const Instant captured_noon = *parse_rfc3339("2026-12-19T12:00:00Z");

TEST(CapturedLine, IsWhatReplayReads) {
  std::string line;
  EXPECT_TRUE(append_captured_line(line, {captured_noon, "camper/climate", "{\"temperature\":-3.1}", true}));
  EXPECT_EQ(line,
            "{\"at\":\"2026-12-19T12:00:00Z\",\"topic\":\"camper/climate\","
            "\"payload\":\"{\\\"temperature\\\":-3.1}\",\"retained\":true}\n");
}

TEST(CapturedLine, BadBytesBecomeReplacementCharacters) {
  std::string line;
  EXPECT_FALSE(append_captured_line(line, {captured_noon, "t", std::string_view("a\xFFz\xC3", 4), false}));
  EXPECT_NE(line.find("a\xEF\xBF\xBDz\xEF\xBF\xBD"), std::string::npos) << line;
}

RC_GTEST_PROP(CapturedLine, AnyPayloadComesBackFromTheReader, (const std::string& payload, std::uint32_t ms)) {
  std::string line;
  const Instant at = captured_noon + Span{ms};
  const bool sound = append_captured_line(line, {at, "a/b", payload, false});
  std::istringstream in(line);
  JsonLines reader(in);
  CapturedMessage message;
  RC_ASSERT(reader.next(message) == JsonLines::Read::message);
  RC_ASSERT(message.at == at);
  RC_ASSERT(message.topic == "a/b");
  RC_ASSERT(!sound || message.payload == payload);
  RC_ASSERT(reader.next(message) == JsonLines::Read::end);
}

}  // namespace
}  // namespace overwinter
