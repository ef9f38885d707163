// A compiled expression: flat postfix code (of `if` every branch is evaluated, and one is chosen), evaluated without
// allocation. Plain data.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "rules/language/scope.h"
#include "rules/quantity/function.h"
#include "rules/quantity/time.h"
#include "rules/quantity/type.h"

namespace overwinter {

// A value that may be unknown. by_hand: it rests on a hand reading (trends never mix sources).
struct Cell {
  double value = 0;
  bool known = false;
  bool by_hand = false;

  static constexpr Cell of(double v) { return {v, true, false}; }
  static constexpr Cell unknown() { return {}; }
  bool operator==(const Cell&) const = default;
};

enum class HistoryFunction : std::uint8_t { mean, lowest, highest, change, slope, time_share, held_for };

// One call of a function of history; its window is state outside the program (language/window).
struct HistoryCall {
  HistoryFunction function = HistoryFunction::mean;
  Span window{};                     // the constant d
  std::vector<std::uint32_t> slots;  // that its x rests on: a reading of one of them is a reading of x
  bool of_now = false;  // x is of now, whenever a reading of it was taken: of several quantities, of a window's answer,
                        // or of what a gauge would show now
  Span stale_after{};   // filled by the plan's builder: the longest of those that go stale (held_for's break)
};

enum class Op : std::uint8_t {
  constant,   // push constants[index]
  reference,  // push references[index]
  now,        // push the instant of the step
  negate,
  add,
  subtract,
  multiply,
  divide,  // divide by zero is unknown
  less,
  less_equal,
  greater,
  greater_equal,
  equal,
  not_equal,
  logical_not,
  logical_and,
  logical_or,
  select,  // three-valued; select: condition, then, else
  absolute_value,
  minimum,
  maximum,  // min and max of `count` cells
  known,
  first_known,  // first_known of `count` cells
  call,         // functions[index], `count` arguments
  translate,    // a word's index from one list to another: tables[index][value]
  history,      // histories[index]: pops x, pushes the answer
};

struct Instruction {
  Op op = Op::constant;
  std::uint8_t count = 0;  // cells that it takes from the stack
  std::uint16_t index = 0;
  // Of the left side of an `and` or `or`: how many instructions further that one stands. A left side that settles it
  // alone is its answer, and what stands between is passed over. 0: a left side of none, or a function of history
  // stands between and must see each reading.
  std::uint16_t to_logical = 0;
  bool brings_constant = false;  // its right side is constants[index], and not on the stack
};

struct Program {
  std::string source;  // the text as written
  Type type;           // of the answer
  Shown shown = Shown::by_dimension;
  std::vector<Instruction> code;
  std::vector<double> constants;
  std::vector<Reference> references;  // without repeats, in order of first use
  std::vector<const Function*> functions;
  std::vector<std::vector<std::uint16_t>> tables;
  std::vector<HistoryCall> histories;
  bool depends_on_time = false;  // now, since_read or a window: to be evaluated again as time goes

  bool empty() const { return code.empty(); }
};

}  // namespace overwinter
