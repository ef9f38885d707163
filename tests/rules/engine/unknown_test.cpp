// Conditions have three values: unknown neither raises nor clears.
#include <gtest/gtest.h>

#include "tests/rules/engine/story.h"

namespace overwinter {
namespace {

const std::string three = std::string(thermometers) + R"(
  garage: {temperature: {topic: garage, unit: degC}}
rules_from: [rules.yaml]
)";

// A rule on the camper that clears when its condition is false.
std::shared_ptr<const Plan> with(const std::string& condition) {
  return plan_of(three, "rules:\n  cold:\n    applies_to: {place: camper}\n    message: Cold.\n    raise_when: " +
                            condition + "\n");
}

TEST(Unknown, KeepsTheAlarm) {
  EXPECT_EQ(told(with("temperature < 0 degC"), R"(
    12-01 00:00 camper -5
    12-01 00:10 camper -5
    12-01 08:00 yard 5
    12-03 08:00 yard 5
    12-03 09:00 camper 5
  )",
                 {"cold"}),
            lines_of(R"(
    12-01 00:10:00 alarm_raised cold camper
    12-03 09:00:00 alarm_cleared cold camper
  )"));
}

TEST(Unknown, AndFalseIsFalse) {
  EXPECT_EQ(told(with("temperature < 0 degC and garage.temperature < 0 degC"), R"(
    12-01 00:00 camper -5
    12-01 00:00 garage -5
    12-01 00:10 camper -5
    12-01 00:10 garage -5
    12-01 05:00 camper -5
    12-01 07:00 camper -5
    12-01 08:00 camper 5
  )",
                 {"cold"}),
            lines_of(R"(
    12-01 00:10:00 alarm_raised cold camper
    12-01 08:00:00 alarm_cleared cold camper
  )"));
}

TEST(Unknown, OrTrueIsTrue) {
  EXPECT_EQ(told(with("garage.temperature < 0 degC or temperature < 0 degC"), R"(
    12-01 00:00 camper -5
    12-01 00:10 camper -5
  )",
                 {"cold"}),
            lines_of(R"(
    12-01 00:10:00 alarm_raised cold camper
  )"));
}

TEST(Unknown, IfIsUnknown) {
  EXPECT_EQ(told(with("if garage.temperature < 0 degC then true else true"), R"(
    12-01 00:00 camper -5
    12-01 00:10 camper -5
  )",
                 {"cold"}),
            "");
}

TEST(Unknown, AndTrueIsUnknown) {
  EXPECT_EQ(told(with("temperature < 0 degC and garage.temperature < 0 degC"), R"(
    12-01 00:00 camper -5
    12-01 00:10 camper -5
    12-01 00:20 camper -5
  )",
                 {"cold"}),
            "");
}

// Silence is no packet that another one could confirm.
TEST(Unknown, IsKnownToBeUnknownAtTheInstantOfSilence) {
  const std::string_view story = R"(
    12-01 00:00 camper 5
    12-01 00:10 camper 5
    12-01 09:00 yard 5
    12-01 10:00 camper 5
  )";
  EXPECT_EQ(told(with("not known(temperature)"), story, {"cold"}), lines_of(R"(
    12-01 06:10:00 alarm_raised cold camper
    12-01 10:00:00 alarm_cleared cold camper
  )"));
  EXPECT_EQ(told(with("not known(temperature)\n    on_delay: 1 h"), story, {"cold"}), lines_of(R"(
    12-01 07:10:00 alarm_raised cold camper
    12-01 10:00:00 alarm_cleared cold camper
  )"));
}

TEST(Unknown, TakesTheOtherValueWhereThereIsNone) {
  EXPECT_EQ(told(with("first_known(temperature, -5 degC) < 0 degC and outdoors.temperature > 0 degC"), R"(
    12-01 00:00 camper 5
    12-01 00:00 yard 5
    12-01 04:00 yard 5
    12-01 07:00 yard 5
  )",
                 {"cold"}),
            lines_of(R"(
    12-01 06:00:00 alarm_raised cold camper
  )"));
}

// One message is one step, the first one too.
TEST(Unknown, IsNotWhatTheFirstMessageTells) {
  EXPECT_EQ(told(with("not known(temperature)"), R"(
    12-01 00:00 camper 5
    12-01 00:10 camper 5
  )",
                 {"cold"}),
            "");
  EXPECT_EQ(told(with("not known(temperature)"), R"(
    12-01 00:00 yard 5
    12-01 00:10 camper 5
  )",
                 {"cold"}),
            lines_of(R"(
    12-01 00:00:00 alarm_raised cold camper
    12-01 00:10:00 alarm_cleared cold camper
  )"));
}

}  // namespace
}  // namespace overwinter
