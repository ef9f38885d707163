#include "rules/language/evaluator.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>

#include "rules/language/operation.h"

namespace overwinter {
namespace {

// A program while it runs. The emitter has made sure that the stack is deep enough.
class Run {
 public:
  Run(const Program& program, const Readings& readings, std::span<Window> windows, Instant now)
      : program_(program), readings_(readings), windows_(windows), now_(now) {}

  Cell result() {
    if (program_.empty()) return Cell::unknown();
    const Instruction* const stop = program_.code.data() + program_.code.size();
    Cell* end = stack_.cells.data();
    for (const Instruction* at = program_.code.data(); at != stop; ++at) {
      Cell* const top = end - at->count;
      if (at->brings_constant) std::construct_at(end++, Cell::of(program_.constants[at->index]));
      std::construct_at(top, execute(*at, {top, end}));
      end = top + 1;
      while (settles(at, *top)) at += at->to_logical;
    }
    return stack_.cells.front();
  }
  const char* why() const { return why_; }
  void make_nothing_of_the_unknown() { makes_something_of_the_unknown_ = false; }

 private:
  // Written before they are read: to clear them would cost more than most conditions do.
  struct Stack {
    Stack() {}
    union {
      std::array<Cell, max_stack_depth> cells;
    };
  };

  // The left side of an `and` or `or` that needs no other.
  static bool settles(const Instruction* at, const Cell& left) {
    return at->to_logical != 0 && left.known && (left.value != 0) == (at[at->to_logical].op == Op::logical_or);
  }

  // In the loop itself: a call each instruction would cost as much as the instruction.
  [[gnu::always_inline]] Cell execute(const Instruction& instruction, std::span<const Cell> operands) {
    switch (instruction.op) {
      case Op::constant:
        return Cell::of(program_.constants[instruction.index]);
      case Op::reference:
        return read(program_.references[instruction.index]);
      case Op::now:
        return Cell::of(to_seconds(now_));
      case Op::call:
        return call(*program_.functions[instruction.index], operands, why_ == nullptr ? &why_ : nullptr);
      case Op::translate:
        return translate(program_.tables[instruction.index], operands.front());
      case Op::history:
        return history(instruction.index, operands.front());
      case Op::divide:
        if (operands[0].known && operands[1].known && operands[1].value == 0) because("division by zero");
        return operate(Op::divide, operands);
      case Op::known:
        if (makes_nothing_of(operands.front())) return Cell::unknown();
        return operate(Op::known, operands);
      case Op::first_known:
        if (makes_nothing_of(operands.front())) return Cell::unknown();
        return operate(Op::first_known, operands);
      case Op::negate:
        return operate(Op::negate, operands);
      case Op::add:
        return operate(Op::add, operands);
      case Op::subtract:
        return operate(Op::subtract, operands);
      case Op::multiply:
        return operate(Op::multiply, operands);
      case Op::less:
        return operate(Op::less, operands);
      case Op::less_equal:
        return operate(Op::less_equal, operands);
      case Op::greater:
        return operate(Op::greater, operands);
      case Op::greater_equal:
        return operate(Op::greater_equal, operands);
      case Op::equal:
        return operate(Op::equal, operands);
      case Op::not_equal:
        return operate(Op::not_equal, operands);
      case Op::logical_not:
        return operate(Op::logical_not, operands);
      case Op::logical_and:
        return operate(Op::logical_and, operands);
      case Op::logical_or:
        return operate(Op::logical_or, operands);
      case Op::select:
        return operate(Op::select, operands);
      case Op::absolute_value:
        return operate(Op::absolute_value, operands);
      case Op::minimum:
        return operate(Op::minimum, operands);
      case Op::maximum:
        return operate(Op::maximum, operands);
    }
    return Cell::unknown();
  }

  bool makes_nothing_of(const Cell& cell) const { return !makes_something_of_the_unknown_ && !cell.known; }

  Cell read(Reference reference) const {
    const Cell cell = readings_.read(reference);
    return cell.known && std::isfinite(cell.value) ? cell : Cell::unknown();
  }

  static Cell translate(const std::vector<std::uint16_t>& table, const Cell& word) {
    if (!word.known || word.value < 0 || word.value >= static_cast<double>(table.size())) return Cell::unknown();
    return {static_cast<double>(table[static_cast<std::size_t>(word.value)]), true, word.by_hand};
  }

  Cell history(std::size_t index, const Cell& x) {
    if (index >= windows_.size()) {
      because("a function of history needs readings over time");
      return Cell::unknown();
    }
    const HistoryCall& history_call = program_.histories[index];
    return windows_[index].feed(history_call, now_, x, read_at(history_call));
  }

  // When a reading that arrived in this step was taken; never: none arrived.
  Instant read_at(const HistoryCall& call) const {
    for (const std::uint32_t slot : call.slots) {
      const Instant taken = readings_.arrived(slot);
      // Nothing was read before 1970: an absurd instant must not overflow the window's reckoning.
      if (taken != never) return call.of_now ? now_ : std::min(now_, std::max(Instant{}, taken));
    }
    return never;
  }

  void because(const char* why) {
    if (why_ == nullptr) why_ = why;
  }

  const Program& program_;
  const Readings& readings_;
  std::span<Window> windows_;
  Instant now_;
  Stack stack_;
  const char* why_ = nullptr;
  bool makes_something_of_the_unknown_ = true;
};

}  // namespace

Cell evaluate(const Program& program, const Readings& readings, std::span<Window> windows, Instant now) {
  return Run(program, readings, windows, now).result();
}

Cell evaluate_whatever_is_unknown(const Program& program, const Readings& readings, Instant now) {
  Run run(program, readings, {}, now);
  run.make_nothing_of_the_unknown();
  return run.result();
}

const char* reason_of_no_value(const Program& program, const Readings& readings, Instant now) {
  Run run(program, readings, {}, now);
  if (run.result().known) return nullptr;
  return run.why() != nullptr ? run.why() : "a value that it rests on is unknown";
}

}  // namespace overwinter
