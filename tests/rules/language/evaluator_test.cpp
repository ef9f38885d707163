#include "rules/language/evaluator.h"

#include <gtest/gtest.h>

#include <limits>
#include <string>
#include <string_view>
#include <vector>

#include "rules/language/operation.h"
#include "tests/rules/language/fake_scope.h"

namespace overwinter {
namespace {

class Evaluator : public ::testing::Test {
 protected:
  Program compiled(std::string_view text) { return fake::compile_any(text, scope).value(); }
  Cell answer(std::string_view text) { return evaluate(compiled(text), readings, {}, now); }
  void set(std::string_view name, Cell cell) { readings.set(compiled(name).references.at(0), cell); }

  FakeScope scope = fake::world();
  FakeReadings readings;
  Instant now = *parse_rfc3339("2027-01-10T12:00:00Z");
};

const Cell yes = Cell::of(1);
const Cell no = Cell::of(0);
const Cell unknown = Cell::unknown();

// Kleene's strong tables (Introduction to Metamathematics, 1952, section 64).
TEST(Operation, FollowsKleenesTables) {
  const Cell cells[] = {no, unknown, yes};
  const Cell conjunction[3][3] = {{no, no, no}, {no, unknown, unknown}, {no, unknown, yes}};
  const Cell disjunction[3][3] = {{no, unknown, yes}, {unknown, unknown, yes}, {yes, yes, yes}};
  const Cell negation[3] = {yes, unknown, no};
  for (std::size_t i = 0; i < 3; ++i) {
    EXPECT_EQ(operate(Op::logical_not, {&cells[i], 1}), negation[i]);
    for (std::size_t k = 0; k < 3; ++k) {
      const Cell pair[] = {cells[i], cells[k]};
      EXPECT_EQ(operate(Op::logical_and, pair), conjunction[i][k]) << i << k;
      EXPECT_EQ(operate(Op::logical_or, pair), disjunction[i][k]) << i << k;
    }
  }
}

TEST(Operation, WhatIsNotFiniteIsUnknown) {
  const Cell huge[] = {Cell::of(1e300), Cell::of(1e300)};
  EXPECT_EQ(operate(Op::multiply, huge), unknown);
  const Cell zero[] = {Cell::of(0), Cell::of(0)};
  EXPECT_EQ(operate(Op::divide, zero), unknown);
}

TEST_F(Evaluator, FoldsConstantsToOneInstruction) {
  EXPECT_EQ(compiled("(2 + 3) * 4 > 7 and true").code.size(), 1U);
  EXPECT_EQ(compiled("dew(10 degC, 50 %)").code.size(), 1U);
  EXPECT_EQ(compiled("temperature > 2 * 3 K + 5 degC").code.size(), 2U) << "a constant on the right is brought along";
  EXPECT_EQ(compiled("2 * 3 K + 5 degC < temperature").code.size(), 3U);
}

TEST_F(Evaluator, ReadsEachReferenceOnceNamed) {
  const Program program = compiled("temperature > 5 degC and temperature < 9 degC or humidity > 60 %");
  EXPECT_EQ(program.references.size(), 2U);
}

TEST_F(Evaluator, KnowsWhatDependsOnTime) {
  EXPECT_FALSE(compiled("temperature > 5 degC").depends_on_time);
  EXPECT_TRUE(compiled("now - temperature.at > 5 d").depends_on_time);
  EXPECT_TRUE(compiled("temperature.since_read > 5 d").depends_on_time);
  EXPECT_TRUE(compiled("mean(temperature, 5 d) > 5 degC").depends_on_time);
}

TEST_F(Evaluator, AReadingThatIsNoNumberIsUnknown) {
  set("temperature", Cell::of(std::numeric_limits<double>::quiet_NaN()));
  EXPECT_EQ(answer("temperature > 5 degC"), unknown);
}

TEST_F(Evaluator, TellsWhetherItRestsOnAHand) {
  set("temperature", Cell{5, true, true});
  set("outdoors.temperature", Cell::of(2));
  EXPECT_TRUE(answer("temperature - outdoors.temperature").by_hand);
  EXPECT_TRUE(answer("dew(temperature, 60 %)").by_hand);
  EXPECT_FALSE(answer("outdoors.temperature > 3 degC").by_hand);
}

TEST_F(Evaluator, SlotsOfAHistoryAreThoseOfItsValue) {
  const Program program = compiled("mean(temperature - outdoors.temperature, 1 d) > temperature - place.temperature");
  ASSERT_EQ(program.histories.size(), 1U);
  EXPECT_EQ(program.histories[0].slots,
            (std::vector<std::uint32_t>{program.references[0].slot, program.references[1].slot}));
  EXPECT_EQ(program.histories[0].window, one_day);
}

TEST_F(Evaluator, AHistoryWithoutItsWindowIsUnknown) {
  set("temperature", Cell::of(5));
  EXPECT_EQ(answer("mean(temperature, 1 d)"), unknown);
}

TEST_F(Evaluator, TellsWhyACallHasNoValue) {
  const auto why = [this](std::string_view text) {
    const char* reason = reason_of_no_value(compiled(text), readings, now);
    return std::string(reason != nullptr ? reason : "");
  };
  EXPECT_EQ(why("voltage"), "a value that it rests on is unknown");
  set("voltage", Cell::of(0));
  EXPECT_EQ(why("voltage"), "");
  EXPECT_EQ(why("reciprocal(voltage / 1 V)"), "only above 0");
  EXPECT_EQ(why("first_known(reciprocal(voltage / 1 V), 5)"), "");
  EXPECT_EQ(why("5 V / voltage"), "division by zero");
  EXPECT_EQ(why("mean(voltage, 1 d)"), "a function of history needs readings over time");
}

// Three conditions that may each be unknown, in all trees of and, or and not: an answer by what is passed over is the
// answer of every operator run.
TEST_F(Evaluator, WhatALeftSideSettlesIsPassedOverAndTheAnswerStays) {
  const char* const trees[] = {"{} and {} or {}",       "{} or {} and {}",       "{} and ({} or {})",
                               "({} or {}) and {}",     "{} and {} and {}",      "{} or {} or {}",
                               "not ({} and {}) or {}", "not ({} or {}) and {}", "{} and not ({} and not {})"};
  const Cell values[] = {Cell::of(0.01), Cell::of(900), unknown};
  const auto sides = {"temperature > 5 degC", "humidity > 5 %", "voltage > 5 V"};
  for (const std::string_view tree : trees) {
    std::string text;
    auto side = sides.begin();
    for (std::size_t at = 0; at < tree.size(); ++at) {
      const bool is_side = tree.substr(at, 2) == "{}";
      text += is_side ? *side++ : std::string(1, tree[at]);
      at += is_side ? 1 : 0;
    }
    const Program program = compiled(text);
    Program whole = program;
    for (Instruction& instruction : whole.code) instruction.to_logical = 0;
    for (int i = 0; i < 27; ++i) {
      set("temperature", values[i % 3]);
      set("humidity", values[i / 3 % 3]);
      set("voltage", values[i / 9]);
      EXPECT_EQ(evaluate(program, readings, {}, now), evaluate(whole, readings, {}, now)) << text << i;
    }
  }
}

TEST_F(Evaluator, AFunctionOfHistorySeesAlsoWhatALeftSideSettles) {
  const Program program = compiled("voltage > 5 V and mean(temperature, 1 h) > 5 degC");
  std::vector<Window> windows(1);
  set("voltage", Cell::of(1));
  set("temperature", Cell::of(9));
  EXPECT_EQ(evaluate(program, readings, windows, now), no);
  EXPECT_EQ(windows[0].size(), 1U);
}

// Under the sanitizers an overflow ends the test.
TEST_F(Evaluator, AnAbsurdInstantOfAReadingOverflowsNothing) {
  const Program program = compiled("mean(temperature, 5 d)");
  std::vector<Window> windows(1);
  set("temperature", Cell::of(280));
  readings.taken[program.references[0].slot] = Instant::min();
  EXPECT_EQ(evaluate(program, readings, windows, now), Cell::of(280));
}

TEST_F(Evaluator, AnEmptyProgramIsUnknown) { EXPECT_EQ(evaluate(Program(), readings, {}, now), unknown); }

}  // namespace
}  // namespace overwinter
