// The operators on cells that may be unknown: what the evaluator runs and the checker folds.
#pragma once

#include <algorithm>
#include <cmath>
#include <functional>
#include <span>

#include "rules/language/program.h"

namespace overwinter {

// Cells of the evaluator's stack; it lives on the thread's stack, so it is small and fixed.
inline constexpr std::size_t max_stack_depth = 128;

// A call of a function of physics. `why`: when all arguments are known and there is no answer, the reason.
Cell call(const Function& function, std::span<const Cell> arguments, const char** why);

namespace operation {

inline Cell number(double value, bool by_hand) { return std::isfinite(value) ? Cell{value, true, by_hand} : Cell{}; }
inline Cell truth(bool value, bool by_hand) { return {value ? 1.0 : 0.0, true, by_hand}; }
inline bool is(const Cell& c, bool value) { return c.known && (c.value != 0) == value; }

template <class F>
Cell reckon(const Cell& a, const Cell& b, F f) {
  return a.known && b.known ? number(f(a.value, b.value), a.by_hand || b.by_hand) : Cell{};
}

template <class F>
Cell compare(const Cell& a, const Cell& b, F f) {
  return a.known && b.known ? truth(f(a.value, b.value), a.by_hand || b.by_hand) : Cell{};
}

// `decides`: the value of one side that settles the answer alone (false for and, true for or).
inline Cell logical(const Cell& a, const Cell& b, bool decides) {
  if (is(a, decides)) return a;
  if (is(b, decides)) return b;
  return a.known && b.known ? truth(!decides, a.by_hand || b.by_hand) : Cell{};
}

inline Cell select(const Cell& condition, const Cell& then, const Cell& otherwise) {
  if (!condition.known) return {};
  Cell chosen = condition.value != 0 ? then : otherwise;
  chosen.by_hand = chosen.known && (chosen.by_hand || condition.by_hand);
  return chosen;
}

inline Cell extreme(std::span<const Cell> of, bool largest) {
  Cell best = of.front();
  for (const Cell& cell : of) {
    if (!cell.known) return {};
    const bool by_hand = best.by_hand || cell.by_hand;
    if (largest ? cell.value > best.value : cell.value < best.value) best = cell;
    best.by_hand = by_hand;
  }
  return best;
}

inline Cell first_known(std::span<const Cell> of) {
  const auto found = std::ranges::find_if(of, [](const Cell& c) { return c.known; });
  return found == of.end() ? Cell{} : *found;
}

}  // namespace operation

// How many cells an operator takes, of those with a fixed number.
int operand_count(Op op);

// Operators from negate to first_known. Arithmetic and comparison with an unknown is unknown; `false and unknown` is
// false, `true or unknown` is true; `if unknown` is unknown. What is not finite is unknown, as a division by zero is.
// In the evaluator's loop itself: a call would cost as much as the operator.
[[gnu::always_inline]] inline Cell operate(Op op, std::span<const Cell> operands) {
  const Cell& a = operands[0];
  switch (op) {
    case Op::negate:
      return a.known ? Cell{-a.value, true, a.by_hand} : Cell{};
    case Op::absolute_value:
      return a.known ? Cell{std::abs(a.value), true, a.by_hand} : Cell{};
    case Op::logical_not:
      return a.known ? operation::truth(a.value == 0, a.by_hand) : Cell{};
    case Op::logical_and:
      return operation::logical(a, operands[1], false);
    case Op::logical_or:
      return operation::logical(a, operands[1], true);
    case Op::select:
      return operation::select(a, operands[1], operands[2]);
    case Op::minimum:
      return operation::extreme(operands, false);
    case Op::maximum:
      return operation::extreme(operands, true);
    case Op::known:
      return operation::truth(a.known, a.by_hand);
    case Op::first_known:
      return operation::first_known(operands);
    case Op::add:
      return operation::reckon(a, operands[1], std::plus());
    case Op::subtract:
      return operation::reckon(a, operands[1], std::minus());
    case Op::multiply:
      return operation::reckon(a, operands[1], std::multiplies());
    case Op::divide:
      return operands[1].known && operands[1].value == 0 ? Cell{} : operation::reckon(a, operands[1], std::divides());
    case Op::less:
      return operation::compare(a, operands[1], std::less());
    case Op::less_equal:
      return operation::compare(a, operands[1], std::less_equal());
    case Op::greater:
      return operation::compare(a, operands[1], std::greater());
    case Op::greater_equal:
      return operation::compare(a, operands[1], std::greater_equal());
    case Op::equal:
      return operation::compare(a, operands[1], std::equal_to());
    case Op::not_equal:
      return operation::compare(a, operands[1], std::not_equal_to());
    case Op::constant:
    case Op::reference:
    case Op::now:
    case Op::call:
    case Op::translate:
    case Op::history:
      break;
  }
  return {};
}

}  // namespace overwinter
