#include "rules/language/operation.h"

#include <array>
#include <cmath>

namespace overwinter {
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
  return operation::number(answer.value, by_hand);
}

}  // namespace overwinter
