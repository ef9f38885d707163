#include "daemon/event_json.h"

#include <gtest/gtest.h>

#include "daemon/json_text.h"

namespace overwinter {
namespace {

std::string json_number(double value) {
  std::string out;
  append_json_number(out, value);
  return out;
}

TEST(EventJson, LeavesOutWhatDoesNotApply) {
  Event event;
  event.at = *parse_rfc3339("2026-12-01T08:00:00Z");
  std::string out;
  append_event(out, event);
  EXPECT_EQ(out, R"({"at":"2026-12-01T08:00:00Z","event":"digest"})");
}

TEST(EventJson, KeepsTheOrderOfKeys) {
  Event event;
  event.at = *parse_rfc3339("2026-12-01T08:00:00.250Z");
  event.kind = EventKind::hand_reading;
  event.gear = "tire";
  event.quantity = "pressure";
  event.value = 334395.46;
  event.unit = "Pa";
  event.reason = "a \"quote\",\n\x01";
  std::string out;
  append_event(out, event);
  EXPECT_EQ(
      out,
      "{\"at\":\"2026-12-01T08:00:00.250Z\",\"event\":\"hand_reading\",\"gear\":\"tire\",\"quantity\":\"pressure\","
      "\"value\":334395.46,\"unit\":\"Pa\",\"reason\":\"a \\\"quote\\\",\\n\\u0001\"}");
}

// Also without one: who reads answers finds the key in each.
TEST(EventJson, AnAnswerEchoesItsIdAsItCame) {
  Answer answer;
  answer.command = "record";
  answer.accepted = true;
  answer.answer = "Noted.";
  std::string out;
  append_answer(out, answer);
  EXPECT_NE(out.find(R"("command":"record","id":"","accepted":true,"answer":"Noted.")"), std::string::npos) << out;
}

TEST(EventJson, PrintsBooleansAsBooleans) {
  Event event;
  event.word = "true";
  std::string out;
  append_event(out, event);
  EXPECT_NE(out.find("\"value\":true"), std::string::npos);
}

TEST(EventJson, RoundsToTenSignificantDigits) {
  EXPECT_EQ(json_number(0.1 + 0.2), "0.3");
  EXPECT_EQ(json_number(1.0 / 3), "0.3333333333");
  EXPECT_EQ(json_number(101325), "101325");
  EXPECT_EQ(json_number(-0.0), "0");
}

}  // namespace
}  // namespace overwinter
