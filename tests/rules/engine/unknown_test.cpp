// Conditions have three values: unknown neither raises nor clears.
#include <gtest/gtest.h>

#include "rules/engine/alarm.h"
#include "rules/engine/engine.h"
#include "rules/engine/evidence.h"
#include "tests/rules/engine/story.h"
#include "tests/winter/replay_in_memory.h"

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

// What one side of an `and` decides is known, whoever is silent on the other.
TEST(Unknown, IsNoConditionThatOneSideDecides) {
  const auto plan = with("temperature < 0 degC and garage.temperature < 0 degC\n    clear_when: temperature > 2 degC");
  EXPECT_EQ(told(plan, R"(
    12-01 00:00 camper -5
    12-01 00:00 garage -5
    12-01 00:10 camper -5
    12-01 00:10 garage -5
    12-01 05:00 camper -5
    12-01 07:00 camper 1
    12-01 08:00 camper 3
  )",
                 {"cold"}),
            lines_of(R"(
    12-01 00:10:00 alarm_raised cold camper
    12-01 08:00:00 alarm_cleared cold camper
  )"));
}

// SITE: it stays while both conditions are true. Where they overlap, the silence of one sensor ends nothing.
TEST(Unknown, EndsNothingByAClearWhenThatIsTrueAlready) {
  const auto plan = with("temperature < 0 degC and garage.temperature < 0 degC\n    clear_when: temperature > -3 degC");
  EXPECT_EQ(told(plan, R"(
    12-01 00:00 camper -2
    12-01 00:00 garage -5
    12-01 00:10 camper -2
    12-01 00:10 garage -5
    12-01 05:00 camper -2
    12-01 09:00 camper -2
    12-01 10:00 garage -5
    12-01 10:10 camper -2
  )",
                 {"cold"}),
            "12-01 00:10:00 alarm_raised cold camper\n");
}

// Since when nobody knows whether the alarm of `plan` on the camper is over, after the story; empty: that is known.
std::string stale_after(const std::shared_ptr<const Plan>& plan, std::string_view story) {
  const auto inputs = inputs_of(plan, capture_of(story));
  Engine engine(plan, inputs.front().at);
  for (const Input& input : inputs) engine.step(input);
  const std::uint32_t cold = find_alarm(*plan, "cold", "camper");
  EXPECT_TRUE(engine.world().alarms[cold].active());
  const auto since = stale_since(engine.world(), cold);
  return since ? format_rfc3339(*since) : std::string();
}

TEST(Unknown, IsTheEvidenceOnlyWhereNobodyKnowsWhetherItIsOver) {
  const std::string both_known = R"(
    12-01 00:00 camper -5
    12-01 00:00 garage -5
    12-01 00:10 camper -5
    12-01 00:10 garage -5
)";
  const std::string garage_silent = both_known + "12-01 06:00 camper -5\n12-01 06:20 camper -5\n";
  const std::string camper_silent = both_known + "12-01 06:00 garage -5\n12-01 06:20 garage -5\n";
  const auto by_raise = with("temperature < 0 degC and garage.temperature < 0 degC");
  EXPECT_EQ(stale_after(by_raise, garage_silent), "2026-12-01T06:10:00Z");
  // raise_when is unknown, and clear_when is known to be false: it is known to stand.
  const auto cleared_by_camper =
      with("temperature < 0 degC and garage.temperature < 0 degC\n    clear_when: temperature > 2 degC");
  EXPECT_EQ(stale_after(cleared_by_camper, garage_silent), "");
  EXPECT_EQ(stale_after(cleared_by_camper, camper_silent), "2026-12-01T06:10:00Z");
  // clear_when is true already, and it stands by raise_when alone.
  const auto overlapping =
      with("temperature < 0 degC and garage.temperature < 0 degC\n    clear_when: temperature > -6 degC");
  EXPECT_EQ(stale_after(overlapping, garage_silent), "2026-12-01T06:10:00Z");
  // raise_when is known to be true: it stands whatever clear_when would say.
  const auto cleared_by_garage = with("temperature < 0 degC\n    clear_when: garage.temperature > 2 degC");
  EXPECT_EQ(stale_after(cleared_by_garage, garage_silent), "");
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

// What functions of history make of a silence begins with it, and not at the last reading before it.
TEST(Unknown, CountsFromTheInstantOfSilence) {
  const std::string_view story = R"(
    12-01 00:00 camper 5
    12-01 00:10 camper 5
    12-01 10:00 camper 5
  )";
  EXPECT_EQ(told(with("held_for(not known(temperature), 2 h)"), story, {"cold"}), lines_of(R"(
    12-01 08:10:00 alarm_raised cold camper
    12-01 10:00:00 alarm_cleared cold camper
  )"));
  for (const std::string_view condition : {
           "time_share(known(temperature), 4 h) < 49 %",
           "mean(first_known(temperature, 0 degC), 4 h) < 2.45 degC",
           "mean(first_known(temperature, -5 degC), 1 h) < -3 degC",
       }) {
    const std::string raised = told(with(std::string(condition)), story, {"cold"});
    EXPECT_EQ(raised.substr(0, 11), condition.find("1 h") == std::string_view::npos ? "12-01 08:15" : "12-01 07:00")
        << condition << raised;
  }
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
