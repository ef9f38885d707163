// Runs tests/conformance/conditions.txt, whose head tells the format.
#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <memory>
#include <sstream>

#include "rules/quantity/code.h"
#include "rules/quantity/unit.h"
#include "tests/places.h"
#include "tests/rules/language/fake_scope.h"

namespace overwinter {
namespace {

std::string_view trim(std::string_view text) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
  return text;
}

// The first word, taken off the front.
std::string_view take(std::string_view& text) {
  const std::size_t space = std::min(text.find(' '), text.size());
  const std::string_view word = text.substr(0, space);
  text = trim(text.substr(space));
  return word;
}

class Conformance {
 public:
  void line(std::string_view text) {
    if (text.empty() || text.front() == '#') return;
    const std::string_view verb = take(text);
    if (verb == ">") {
      expression(text);
    } else if (verb == "=") {
      EXPECT_EQ(answer(text), text);
    } else if (verb == "!") {
      EXPECT_EQ(fault_text(), text);
    } else if (verb == "hint:") {
      EXPECT_EQ(program_ ? "no fault" : program_.error().hint, text);
    } else if (verb == "let") {
      let(text);
    } else if (verb == "by_hand") {
      by_hand_ = true;
      let(text);
      by_hand_ = false;
    } else if (verb == "after") {
      now_ += span_from_seconds(parse_unit_value(text, UnitContext::expression).value().value);
      run();
    } else if (verb == "at") {
      now_ = parse_rfc3339(text).value();
      run();
    } else if (verb == "forget") {
      readings_.cells.clear();
    } else if (verb == "station") {
      scope_.station_slot.reset();
      if (text == "measured") scope_.station_slot = scope_.of("outdoors", "station_pressure")->slot;
    } else {
      ADD_FAILURE() << "no such line";
    }
  }
  int cases() const { return cases_; }

 private:
  void expression(std::string_view text) {
    ++cases_;
    text_ = text;
    program_ = compile(text_, scope_, fake::functions(), Wanted::any);
    windows_.clear();
    if (program_) windows_.resize(program_->histories.size());
    if (program_) {
      for (HistoryCall& call : program_->histories) call.stale_after = 6 * one_hour;
    }
    run();
  }

  void run() {
    if (program_) cell_ = evaluate(*program_, readings_, windows_, now_);
    readings_.taken.clear();
  }

  // The name of a quantity and what it reads; `-` stands for a program that yields the reference.
  void let(std::string_view text) {
    const std::string_view name = take(text);
    const Result<Program> target = compile(name, scope_, {}, Wanted::any);
    ASSERT_TRUE(target) << name;
    ASSERT_EQ(target->references.size(), 1U);
    readings_.set(target->references[0], value(text, target->type));
    run();
  }

  Cell value(std::string_view text, const Type& type) const {
    if (text == "unknown") return Cell::unknown();
    Cell cell = Cell::of(number(text, type));
    cell.by_hand = by_hand_;
    return cell;
  }

  static double number(std::string_view text, const Type& type) {
    if (type.sort == Sort::boolean) return text == "true" ? 1 : 0;
    if (type.sort == Sort::instant) return to_seconds(parse_rfc3339(text).value());
    if (type.sort == Sort::code) return number_of_code(text).value();
    if (type.sort == Sort::word) {
      for (std::size_t i = 0; i < type.words.size(); ++i) {
        if (type.words[i] == text) return static_cast<double>(i);
      }
      ADD_FAILURE() << "no such word";
      return -1;
    }
    const auto parsed = parse_value_of_type(text, type, true, UnitContext::expression);
    EXPECT_TRUE(parsed) << text;
    return parsed.value_or(0);
  }

  // What the program answers, told like `wanted` when it agrees with it.
  std::string answer(std::string_view wanted) const {
    if (!program_) return "! " + fault_text();
    if (!cell_.known) return "unknown";
    const Type& type = program_->type;
    if (type.sort == Sort::boolean) return cell_.value != 0 ? "true" : "false";
    if (type.sort == Sort::instant) return format_rfc3339(instant_from_seconds(cell_.value));
    if (type.sort == Sort::word) return std::string(type.words[static_cast<std::size_t>(cell_.value)]);
    const std::string sort = type.sort == Sort::gauge ? "gauge" : type.sort == Sort::absolute ? "absolute" : "";
    std::string_view amount = wanted;
    if (!sort.empty() && amount.ends_with(sort)) amount = trim(amount.substr(0, amount.size() - sort.size()));
    const auto parsed = parse_value_of_type(amount, type, true, UnitContext::expression);
    const bool close = parsed && std::abs(*parsed - cell_.value) <= 1e-9 * std::max(1.0, std::abs(cell_.value));
    if (close && wanted.ends_with(sort)) return std::string(wanted);
    return std::to_string(cell_.value) + " (" + describe(type) + ")";
  }

  std::string fault_text() const {
    if (program_) return "no fault";
    const Fault& fault = program_.error();
    std::string place = std::to_string(fault.where.column);
    if (fault.where.length > 1) place += "-" + std::to_string(fault.where.column + fault.where.length - 1);
    return place + " " + fault.text;
  }

  FakeScope scope_ = fake::world();
  FakeReadings readings_;
  Instant now_ = parse_rfc3339("2027-01-10T12:00:00Z").value();
  bool by_hand_ = false;
  std::string text_;
  Result<Program> program_;
  std::vector<Window> windows_;
  Cell cell_;
  int cases_ = 0;
};

TEST(Conditions, AnswerAsTheConformanceCasesSay) {
  std::ifstream file(places::repository() / "tests/conformance/conditions.txt");
  ASSERT_TRUE(file);
  Conformance conformance;
  int number = 0;
  for (std::string line; std::getline(file, line);) {
    SCOPED_TRACE("conditions.txt:" + std::to_string(++number) + ": " + line);
    conformance.line(line);
  }
  EXPECT_GE(conformance.cases(), 250);
}

}  // namespace
}  // namespace overwinter
