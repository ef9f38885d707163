#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <cmath>

#include "rules/language/message_template.h"
#include "rules/language/source.h"
#include "tests/rules/language/fake_scope.h"
#include "tests/rules/language/random_expression.h"

namespace overwinter {
namespace {

Cell any_truth() { return *rc::gen::element(Cell::of(0), Cell::of(1), Cell::unknown()); }

// All names of the fake world at random, some unknown.
void read_anything(FakeReadings& readings, const Program& program) {
  for (const Reference& reference : program.references) {
    const int what = *rc::gen::inRange(0, 4);
    const double value = what == 0 ? 0 : *rc::gen::element(1.0, -3.0, 0.5, 1e6, 1.8e9, -1e300, 1e300);
    Cell cell = Cell::of(value);
    cell.by_hand = what == 1;
    if (what == 2) cell = Cell::unknown();
    readings.set(reference, cell);
  }
}

RC_GTEST_PROP(Language, PrintingAndParsingAgainIsStable, ()) {
  const std::string text = random_expression(4);
  const Result<std::string> once = dump_syntax(text);
  if (!once) RC_DISCARD();
  const Result<std::string> twice = dump_syntax(*once);
  RC_ASSERT(twice.has_value());
  RC_ASSERT(*twice == *once);
}

RC_GTEST_PROP(Language, AnyTextIsAProgramOrAFaultInsideIt, ()) {
  const std::string text = *rc::gen::inRange(0, 2) == 0 ? random_text() : random_expression(4);
  const FakeScope scope = fake::world();
  const Result<Program> program = fake::compile_any(text, scope);
  if (program) return;
  const Fault& fault = program.error();
  RC_ASSERT(!fault.text.empty());
  RC_ASSERT(!fault.hint.empty());
  RC_ASSERT(fault.where.line == 1U);
  RC_ASSERT(fault.where.column >= 1U);
  RC_ASSERT(fault.where.column <= count_code_points(text) + 1);
  RC_ASSERT(fault.where.column + fault.where.length <= count_code_points(text) + 2);
}

RC_GTEST_PROP(Language, EvaluationNeverCrashesAndIsFinite, ()) {
  const std::string text = *rc::gen::inRange(0, 4) == 0 ? random_expression(4) : random_condition(4);
  const FakeScope scope = fake::world();
  const Result<Program> program = fake::compile_any(text, scope);
  if (!program) RC_DISCARD();
  std::vector<Window> windows(program->histories.size());
  Instant now = *parse_rfc3339("2027-01-10T12:00:00Z");
  for (int step = 0; step < 20; ++step) {
    FakeReadings readings;
    read_anything(readings, *program);
    now += Span(*rc::gen::element<std::int64_t>(0, 1, 60'000, 1'800'000, 40'000'000));
    const Cell answer = evaluate(*program, readings, windows, now);
    RC_ASSERT(std::isfinite(answer.value));
    const char* why = reason_of_no_value(*program, readings, now);
    // RC_ASSERT takes an expression apart, so that `||` would look at both sides.
    const bool told = why == nullptr || *why != '\0';
    RC_ASSERT(told);
  }
}

RC_GTEST_PROP(Language, EvaluationIsTheSameTwice, ()) {
  const FakeScope scope = fake::world();
  const Program program = fake::compile_any(random_condition(4), scope).value();
  std::vector<Window> first(program.histories.size());
  std::vector<Window> second(program.histories.size());
  FakeReadings readings;
  read_anything(readings, program);
  const Instant now = *parse_rfc3339("2027-01-10T12:00:00Z");
  RC_ASSERT(evaluate(program, readings, first, now) == evaluate(program, readings, second, now));
}

// The laws hold for what programs answer, not only for the tables.
RC_GTEST_PROP(Language, KeepsTheLawsOfKleenesLogic, ()) {
  const FakeScope scope = fake::world();
  FakeReadings readings;
  for (const std::string_view name : {"door_open", "shore_power", "heated"}) {
    readings.set(fake::compile_any(name, scope).value().references.at(0), any_truth());
  }
  const auto answer = [&](std::string_view text) {
    return evaluate(fake::compile_any(text, scope).value(), readings, {}, Instant{});
  };
  const auto same = [&](std::string_view a, std::string_view b) { return answer(a) == answer(b); };
  RC_ASSERT(same("not not door_open", "door_open"));
  RC_ASSERT(same("door_open and shore_power", "shore_power and door_open"));
  RC_ASSERT(same("door_open or shore_power", "shore_power or door_open"));
  RC_ASSERT(same("not (door_open and shore_power)", "not door_open or not shore_power"));
  RC_ASSERT(same("not (door_open or shore_power)", "not door_open and not shore_power"));
  RC_ASSERT(same("door_open and (shore_power or heated)", "door_open and shore_power or door_open and heated"));
  RC_ASSERT(same("door_open or shore_power and heated", "(door_open or shore_power) and (door_open or heated)"));
  RC_ASSERT(same("door_open and (door_open or shore_power)", "door_open"));
  RC_ASSERT(same("(door_open and shore_power) and heated", "door_open and (shore_power and heated)"));
}

// More knowledge never turns an answer around: what was known with an unknown input stays when the input is known.
RC_GTEST_PROP(Language, KnowledgeOnlyAddsAnswers, ()) {
  const FakeScope scope = fake::world();
  const Program program =
      fake::compile_any("(door_open or not shore_power) and (if heated then door_open else shore_power)", scope)
          .value();
  FakeReadings partly;
  FakeReadings wholly;
  for (const Reference& reference : program.references) {
    const Cell cell = any_truth();
    partly.set(reference, cell);
    wholly.set(reference, cell.known ? cell : *rc::gen::element(Cell::of(0), Cell::of(1)));
  }
  const Cell before = evaluate(program, partly, {}, Instant{});
  const Cell after = evaluate(program, wholly, {}, Instant{});
  RC_ASSERT(after.known);
  RC_ASSERT(!before.known || before == after);
}

RC_GTEST_PROP(Language, AnyMessageIsATemplateOrAFaultInsideIt, ()) {
  const std::string text = "a {" + random_text() + "} b " + random_text();
  const FakeScope scope = fake::world();
  const Result<MessageTemplate> message = compile_template(text, scope, fake::functions());
  if (!message) {
    RC_ASSERT(message.error().where.column >= 1U);
    RC_ASSERT(message.error().where.column <= count_code_points(text) + 1);
    return;
  }
  std::vector<Window> windows(message->history_count());
  render(*message, FakeReadings(), windows, RenderContext{});
}

}  // namespace
}  // namespace overwinter
