#include "rules/language/operation.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace overwinter {
namespace {

Cell number(double value, bool by_hand) { return std::isfinite(value) ? Cell{value, true, by_hand} : Cell::unknown(); }

Cell truth(bool value, bool by_hand) { return {value ? 1.0 : 0.0, true, by_hand}; }

bool is(const Cell& c, bool value) { return c.known && (c.value != 0) == value; }

// Division is checked: a zero divisor has no answer.
Cell arithmetic(Op op, double a, double b, bool by_hand) {
  switch (op) {
    case Op::add:
      return number(a + b, by_hand);
    case Op::subtract:
      return number(a - b, by_hand);
    case Op::multiply:
      return number(a * b, by_hand);
    case Op::divide:
      return b == 0 ? Cell::unknown() : number(a / b, by_hand);
    case Op::less:
      return truth(a < b, by_hand);
    case Op::less_equal:
      return truth(a <= b, by_hand);
    case Op::greater:
      return truth(a > b, by_hand);
    case Op::greater_equal:
      return truth(a >= b, by_hand);
    case Op::equal:
      return truth(a == b, by_hand);
    case Op::not_equal:
      return truth(a != b, by_hand);
    case Op::constant:
    case Op::reference:
    case Op::now:
    case Op::negate:
    case Op::logical_not:
    case Op::logical_and:
    case Op::logical_or:
    case Op::select:
    case Op::absolute_value:
    case Op::minimum:
    case Op::maximum:
    case Op::known:
    case Op::first_known:
    case Op::call:
    case Op::translate:
    case Op::history:
      break;
  }
  return Cell::unknown();
}

// `decides`: the value of one side that settles the answer alone (false for and, true for or).
Cell logical(const Cell& a, const Cell& b, bool decides) {
  if (is(a, decides)) return a;
  if (is(b, decides)) return b;
  if (!a.known || !b.known) return Cell::unknown();
  return truth(!decides, a.by_hand || b.by_hand);
}

Cell extreme(std::span<const Cell> cells, bool largest) {
  Cell best = cells.front();
  for (const Cell& cell : cells) {
    if (!cell.known) return Cell::unknown();
    const bool by_hand = best.by_hand || cell.by_hand;
    if (largest ? cell.value > best.value : cell.value < best.value) best = cell;
    best.by_hand = by_hand;
  }
  return best;
}

}  // namespace

int operand_count(Op op) {
  switch (op) {
    case Op::constant:
    case Op::reference:
    case Op::now:
      return 0;
    case Op::negate:
    case Op::logical_not:
    case Op::absolute_value:
    case Op::known:
    case Op::translate:
    case Op::history:
      return 1;
    case Op::add:
    case Op::subtract:
    case Op::multiply:
    case Op::divide:
    case Op::less:
    case Op::less_equal:
    case Op::greater:
    case Op::greater_equal:
    case Op::equal:
    case Op::not_equal:
    case Op::logical_and:
    case Op::logical_or:
      return 2;
    case Op::select:
      return 3;
    case Op::minimum:
    case Op::maximum:
    case Op::first_known:
    case Op::call:
      return -1;  // as many as the instruction says
  }
  return -1;
}

Cell operate(Op op, std::span<const Cell> operands) {
  const Cell& a = operands.front();
  switch (op) {
    case Op::negate:
      return a.known ? Cell{-a.value, true, a.by_hand} : Cell::unknown();
    case Op::absolute_value:
      return a.known ? Cell{std::abs(a.value), true, a.by_hand} : Cell::unknown();
    case Op::logical_not:
      return a.known ? truth(a.value == 0, a.by_hand) : Cell::unknown();
    case Op::logical_and:
      return logical(a, operands[1], false);
    case Op::logical_or:
      return logical(a, operands[1], true);
    case Op::select: {
      if (!a.known) return Cell::unknown();
      Cell chosen = operands[a.value != 0 ? 1 : 2];
      chosen.by_hand = chosen.known && (chosen.by_hand || a.by_hand);
      return chosen;
    }
    case Op::minimum:
      return extreme(operands, false);
    case Op::maximum:
      return extreme(operands, true);
    case Op::known:
      return truth(a.known, a.by_hand);
    case Op::first_known: {
      const auto found = std::ranges::find_if(operands, [](const Cell& c) { return c.known; });
      return found == operands.end() ? Cell::unknown() : *found;
    }
    case Op::add:
    case Op::subtract:
    case Op::multiply:
    case Op::divide:
    case Op::less:
    case Op::less_equal:
    case Op::greater:
    case Op::greater_equal:
    case Op::equal:
    case Op::not_equal: {
      const Cell& b = operands[1];
      if (!a.known || !b.known) return Cell::unknown();
      return arithmetic(op, a.value, b.value, a.by_hand || b.by_hand);
    }
    case Op::constant:
    case Op::reference:
    case Op::now:
    case Op::call:
    case Op::translate:
    case Op::history:
      break;
  }
  return Cell::unknown();
}

Cell call(const Function& function, std::span<const Cell> arguments, const char** why) {
  std::array<double, Function::max_parameters> values{};
  bool by_hand = false;
  for (std::size_t i = 0; i < arguments.size() && i < values.size(); ++i) {
    if (!arguments[i].known) return Cell::unknown();
    values[i] = arguments[i].value;
    by_hand = by_hand || arguments[i].by_hand;
  }
  const CallAnswer answer = function.call(values.data());
  if (answer.no_value != nullptr) {
    if (why != nullptr) *why = answer.no_value;
    return Cell::unknown();
  }
  return number(answer.value, by_hand);
}

}  // namespace overwinter
