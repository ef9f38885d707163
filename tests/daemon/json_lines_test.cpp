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
  std::istringstream in(std::string((std::size_t{8} << 20) + 1, 'x') +
                        "\n{\"at\":\"2026-12-01T08:00:00Z\",\"topic\":\"t\",\"payload\":\"1\"}\n");
  JsonLines lines(in);
  CapturedMessage message;
  EXPECT_EQ(lines.next(message), JsonLines::Read::broken);
  EXPECT_EQ(lines.why(), "the line is longer than 8 MiB");
  EXPECT_EQ(lines.next(message), JsonLines::Read::message);
}

// What a sensor sends is never the line's fault: the intake tells that it is too large.
TEST(JsonLines, ReadsAPayloadOfAMebibyte) {
  const std::string payload(std::size_t{1} << 20, '1');
  std::istringstream in(R"({"at":"2026-12-01T08:00:00Z","topic":"t","payload":")" + payload + "\"}\n" +
                        R"({"at":"2026-12-01T08:00:00Z","topic":"t","payload":"[[)" + std::string(70, '[') + "\"}\n");
  JsonLines lines(in);
  CapturedMessage message;
  ASSERT_EQ(lines.next(message), JsonLines::Read::message);
  EXPECT_EQ(message.payload.size(), payload.size());
  EXPECT_EQ(lines.next(message), JsonLines::Read::message);
  EXPECT_EQ(lines.next(message), JsonLines::Read::end);
}

// A line lies in the chunk that was read as a whole, or ends in the next one: behind each lies something to read on in.
TEST(JsonLines, ReadsALineWhereverTheChunksOfTheFileMeet) {
  const std::string line = R"({"at":"2026-12-01T08:00:00Z","topic":"t","payload":"-12.5"})"
                           "\n";
  constexpr std::size_t chunk = std::size_t{64} * 1024;
  for (std::size_t before = chunk - line.size() - 2; before <= chunk + 2; ++before) {
    std::istringstream in(std::string(before - 1, ' ') + "\n" + line + line.substr(0, line.size() - 1));
    JsonLines lines(in);
    CapturedMessage message;
    for (int i = 0; i < 2; ++i) {
      ASSERT_EQ(lines.next(message), JsonLines::Read::message) << before;
      EXPECT_EQ(message.payload, "-12.5") << before;
    }
    EXPECT_EQ(lines.line(), 3U);
    EXPECT_EQ(lines.next(message), JsonLines::Read::end);
  }
}

TEST(JsonLines, SaysWhatIsWrongWithALine) {
  const auto why = [](const std::string& line) {
    std::istringstream in(line);
    JsonLines lines(in);
    CapturedMessage message;
    return lines.next(message) == JsonLines::Read::broken ? lines.why() : "read";
  };
  const auto with = [&](const std::string& at, const std::string& rest) { return why("{\"at\":" + at + rest + "}"); };
  const std::string rest = R"(,"topic":"t","payload":"1")";
  EXPECT_EQ(with("\"2026-12-01T08:00:00Z\"", rest), "read");
  EXPECT_EQ(with("\"2026-12-01T02:00:00.5-06:00\"", rest), "read");  // RFC 3339, 5.6: an offset, a fraction
  EXPECT_EQ(why("["), "the line is not JSON");
  EXPECT_EQ(why("[]"), "the line is not a JSON object");
  EXPECT_EQ(why("\xFF"), "the line is not UTF-8");
  EXPECT_EQ(why(std::string(100, '[') + std::string(100, ']')), "the line nests too deeply");
  EXPECT_EQ(why("{}"), "`at` is missing or not text");
  EXPECT_EQ(with("1764547200", rest), "`at` is missing or not text");
  for (const char* no_time : {"2026-12-01", "2026-12-01T08:00:00", "2026-02-30T08:00:00Z", "2026-12-01T24:00:00Z",
                              "1969-12-31T00:00:00Z", ""}) {
    EXPECT_EQ(with("\"" + std::string(no_time) + "\"", rest), "`at` is no time like 2026-12-01T08:00:00Z") << no_time;
  }
  const std::string at = "\"2026-12-01T08:00:00Z\"";
  EXPECT_EQ(with(at, R"(,"payload":"1")"), "`topic` is missing or not text");
  EXPECT_EQ(with(at, R"(,"topic":["t"],"payload":"1")"), "`topic` is missing or not text");
  for (const char* no_text : {"", R"(,"payload":1)", R"(,"payload":{"a":1})", R"(,"payload":null)"}) {
    EXPECT_TRUE(with(at, std::string(R"(,"topic":"t")") + no_text).starts_with("`payload` is missing or not text"));
  }
  EXPECT_EQ(with(at, rest + R"(,"retained":1)"), "`retained` is neither true nor false");
}

}  // namespace
}  // namespace overwinter
