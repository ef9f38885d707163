#include "rules/language/operation.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>

namespace overwinter {
namespace {

Cell number(double value, bool by_hand) { return std::isfinite(value) ? Cell{value, true, by_hand} : Cell{}; }
Cell truth(bool value, bool by_hand) { return {value ? 1.0 : 0.0, true, by_hand}; }
bool is(const Cell& c, bool value) { return c.known && (c.value != 0) == value; }

template <class F>
Cell reckon(const Cell& a, const Cell& b, F f) {
  return a.known && b.known ? number(f(a.value, b.value), a.by_hand || b.by_hand) : Cell{};
}

template <class F>
Cell compare(const Cell& a, const Cell& b, F f) {
  return a.known && b.known ? truth(f(a.value, b.value), a.by_hand || b.by_hand) : Cell{};
}

// `decides`: the value of one side that settles the answer alone (false for and, true for or).
Cell logical(const Cell& a, const Cell& b, bool decides) {
  if (is(a, decides)) return a;
  if (is(b, decides)) return b;
  return a.known && b.known ? truth(!decides, a.by_hand || b.by_hand) : Cell{};
}

Cell select(const Cell& condition, const Cell& then, const Cell& otherwise) {
  if (!condition.known) return {};
  Cell chosen = condition.value != 0 ? then : otherwise;
  chosen.by_hand = chosen.known && (chosen.by_hand || condition.by_hand);
  return chosen;
}

Cell extreme(std::span<const Cell> of, bool largest) {
  Cell best = of.front();
  for (const Cell& cell : of) {
    if (!cell.known) return {};
    const bool by_hand = best.by_hand || cell.by_hand;
    if (largest ? cell.value > best.value : cell.value < best.value) best = cell;
    best.by_hand = by_hand;
  }
  return best;
}

Cell first_known(std::span<const Cell> of) {
  const auto found = std::ranges::find_if(of, [](const Cell& c) { return c.known; });
  return found == of.end() ? Cell{} : *found;
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
  const Cell& a = operands[0];
  switch (op) {
    case Op::negate:
      return a.known ? Cell{-a.value, true, a.by_hand} : Cell{};
    case Op::absolute_value:
      return a.known ? Cell{std::abs(a.value), true, a.by_hand} : Cell{};
    case Op::logical_not:
      return a.known ? truth(a.value == 0, a.by_hand) : Cell{};
    case Op::logical_and:
      return logical(a, operands[1], false);
    case Op::logical_or:
      return logical(a, operands[1], true);
    case Op::select:
      return select(a, operands[1], operands[2]);
    case Op::minimum:
      return extreme(operands, false);
    case Op::maximum:
      return extreme(operands, true);
    case Op::known:
      return truth(a.known, a.by_hand);
    case Op::first_known:
      return first_known(operands);
    case Op::add:
      return reckon(a, operands[1], std::plus());
    case Op::subtract:
      return reckon(a, operands[1], std::minus());
    case Op::multiply:
      return reckon(a, operands[1], std::multiplies());
    case Op::divide:
      return operands[1].known && operands[1].value == 0 ? Cell{} : reckon(a, operands[1], std::divides());
    case Op::less:
      return compare(a, operands[1], std::less());
    case Op::less_equal:
      return compare(a, operands[1], std::less_equal());
    case Op::greater:
      return compare(a, operands[1], std::greater());
    case Op::greater_equal:
      return compare(a, operands[1], std::greater_equal());
    case Op::equal:
      return compare(a, operands[1], std::equal_to());
    case Op::not_equal:
      return compare(a, operands[1], std::not_equal_to());
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
