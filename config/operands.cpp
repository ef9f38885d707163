#include "config/operands.h"

#include <algorithm>

namespace overwinter {
namespace {

bool is_over_time(HistoryFunction function) {
  return function == HistoryFunction::held_for || function == HistoryFunction::mean ||
         function == HistoryFunction::time_share;
}

}  // namespace

std::vector<std::size_t> begins_of(const Program& program) {
  std::vector<std::size_t> begin_of, stack;
  for (std::size_t at = 0; at < program.code.size(); ++at) {
    const std::size_t count = program.code[at].count;
    if (count > stack.size()) return {};
    begin_of.push_back(count == 0 ? at : stack[stack.size() - count]);
    stack.resize(stack.size() - count);
    stack.push_back(begin_of.back());
  }
  return begin_of;
}

std::vector<Under> lies_under(const Program& program) {
  std::vector<Under> under(program.code.size());
  const std::vector<std::size_t> begins = begins_of(program);
  for (std::size_t at = 0; at < begins.size(); ++at) {
    const Instruction& i = program.code[at];
    if (i.op != Op::history || !is_over_time(program.histories[i.index].function)) continue;
    const Span window = program.histories[i.index].window;
    for (std::size_t k = begins[at]; k < at; ++k) {
      under[k].over_time = true;
      if (program.histories[i.index].function != HistoryFunction::held_for) continue;
      under[k].held = under[k].held == Span{} ? window : std::min(under[k].held, window);
    }
  }
  return under;
}

}  // namespace overwinter
