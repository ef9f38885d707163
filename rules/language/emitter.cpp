// The checked tree as postfix code. Nodes stand after their children in the tree and in the code, so this is one loop;
// what lies under a folded node is left out.
#include <algorithm>
#include <utility>

#include "rules/language/meaning.h"
#include "rules/language/operation.h"

namespace overwinter {
namespace {

constexpr double standard_atmosphere = 101325;  // Pa; ISO 2533, where the site has no station pressure

class Emitter {
 public:
  Emitter(const Syntax& syntax, const Meanings& meanings, const Scope& scope)
      : syntax_(syntax),
        meanings_(meanings),
        scope_(scope),
        left_out_(syntax.nodes.size()),
        looks_back_(syntax.nodes.size()),
        begins_(syntax.nodes.size()),
        ends_(syntax.nodes.size()) {}

  Result<Program> run() {
    leave_out();
    for (std::size_t i = 0; i < syntax_.nodes.size(); ++i) {
      const Node& node = syntax_.nodes[i];
      begins_[i] = node.children.empty() ? program_.code.size() : begins_[node.children.front()];
      if (!left_out_[i]) put(i);
      ends_[i] = program_.code.size();
    }
    program_.source = syntax_.source;
    program_.type = meanings_.back().type;
    program_.shown = meanings_.back().shown;
    if (deepest_ > max_stack_depth) {
      return fault_at(syntax_.source, syntax_.nodes.back().mark, "the expression holds too many values at once",
                      "take arguments out, or split it into two rules");
    }
    return std::move(program_);
  }

 private:
  void leave_out() {
    for (std::size_t i = syntax_.nodes.size(); i-- > 0;) {
      const Node& node = syntax_.nodes[i];
      for (const NodeIndex child : node.children) left_out_[child] = left_out_[i] || meanings_[i].constant;
      const auto& built_in = meanings_[i].built_in;
      if (built_in && is_history(*built_in)) left_out_[node.children[1]] = true;
    }
    for (std::size_t i = 0; i < syntax_.nodes.size(); ++i) {
      const auto& built_in = meanings_[i].built_in;
      looks_back_[i] = (built_in && is_history(*built_in)) ||
                       std::ranges::any_of(syntax_.nodes[i].children, [this](NodeIndex c) { return looks_back_[c]; });
    }
  }

  void put(std::size_t i) {
    const Node& node = syntax_.nodes[i];
    const Meaning& meaning = meanings_[i];
    if (meaning.constant) {
      put_constant(meaning.value);
    } else if (meaning.reference) {
      put_reference(*meaning.reference);
    } else if (node.kind == NodeKind::now) {
      program_.depends_on_time = true;
      put_instruction(Op::now);
    } else if (node.kind == NodeKind::operation) {
      put_operation(node);
      if (node.op == Op::logical_and || node.op == Op::logical_or) tell_left_side(node);
    } else if (meaning.function != nullptr) {
      put_instruction(Op::call, node.children.size(), place_of(program_.functions, meaning.function));
    } else if (meaning.built_in) {
      put_built_in(i, *meaning.built_in);
    }
    if (!meaning.translation.empty()) {
      program_.tables.push_back(meaning.translation);
      put_instruction(Op::translate, 1, program_.tables.size() - 1);
    }
  }

  // A constant at its right is not pushed by an instruction of its own.
  void put_operation(const Node& node) {
    const bool logical = node.op == Op::logical_and || node.op == Op::logical_or;
    if (logical || node.children.size() != 2 || program_.code.back().op != Op::constant) {
      return put_instruction(node.op);
    }
    const std::size_t constant = program_.code.back().index;
    program_.code.pop_back();
    put_instruction(node.op, 2, constant);
    program_.code.back().count = 1;
    program_.code.back().brings_constant = true;
  }

  // Of the `and` or `or` that was put last.
  void tell_left_side(const Node& node) {
    if (looks_back_[node.children[1]]) return;
    const std::size_t left = ends_[node.children[0]] - 1;
    program_.code[left].to_logical = static_cast<std::uint16_t>(program_.code.size() - 1 - left);
  }

  void put_built_in(std::size_t i, BuiltIn built_in) {
    const std::size_t count = syntax_.nodes[i].children.size();
    switch (built_in) {
      case BuiltIn::mean:
        return put_history(i, HistoryFunction::mean);
      case BuiltIn::lowest:
        return put_history(i, HistoryFunction::lowest);
      case BuiltIn::highest:
        return put_history(i, HistoryFunction::highest);
      case BuiltIn::change:
        return put_history(i, HistoryFunction::change);
      case BuiltIn::slope:
        return put_history(i, HistoryFunction::slope);
      case BuiltIn::time_share:
        return put_history(i, HistoryFunction::time_share);
      case BuiltIn::held_for:
        return put_history(i, HistoryFunction::held_for);
      case BuiltIn::known:
        return put_instruction(Op::known);
      case BuiltIn::first_known:
        return put_instruction(Op::first_known, count);
      case BuiltIn::abs:
        return put_instruction(Op::absolute_value);
      case BuiltIn::min:
        return put_instruction(Op::minimum, count);
      case BuiltIn::max:
        return put_instruction(Op::maximum, count);
      case BuiltIn::absolute:
      case BuiltIn::gauge:
        break;
    }
    if (const auto slot = scope_.station_pressure_slot()) {
      put_reference({*slot, Facet::value});
    } else {
      put_constant(standard_atmosphere);
    }
    put_instruction(built_in == BuiltIn::absolute ? Op::add : Op::subtract);
  }

  // The code since the call's first node is the code of its x.
  void put_history(std::size_t i, HistoryFunction function) {
    HistoryCall call;
    call.function = function;
    call.window = meanings_[i].window;
    for (std::size_t at = begins_[i]; at < program_.code.size(); ++at) {
      const Instruction& instruction = program_.code[at];
      if (instruction.op == Op::history) call.of_now = true;
      if (instruction.op != Op::reference) continue;
      const auto& [slot, facet] = program_.references[instruction.index];
      if (is_of_now(facet)) call.of_now = true;
      if (std::ranges::find(call.slots, slot) == call.slots.end()) call.slots.push_back(slot);
    }
    call.of_now = call.of_now || call.slots.size() != 1;
    program_.histories.push_back(std::move(call));
    program_.depends_on_time = true;
    put_instruction(Op::history, 1, program_.histories.size() - 1);
  }

  void put_constant(double value) { put_instruction(Op::constant, 0, place_of(program_.constants, value)); }

  void put_reference(Reference reference) {
    if (reference.facet == Facet::since_read) program_.depends_on_time = true;
    put_instruction(Op::reference, 0, place_of(program_.references, reference));
  }

  // count: of an operator that takes any number.
  void put_instruction(Op op, std::size_t count = 0, std::size_t index = 0) {
    if (const int fixed = operand_count(op); fixed >= 0) count = static_cast<std::size_t>(fixed);
    height_ -= count;
    deepest_ = std::max(deepest_, ++height_);
    program_.code.push_back({op, static_cast<std::uint8_t>(count), static_cast<std::uint16_t>(index)});
  }

  // Each value once.
  template <class T>
  static std::size_t place_of(std::vector<T>& values, const T& value) {
    const auto found = std::ranges::find(values, value);
    if (found != values.end()) return static_cast<std::size_t>(found - values.begin());
    values.push_back(value);
    return values.size() - 1;
  }

  const Syntax& syntax_;
  const Meanings& meanings_;
  const Scope& scope_;
  std::vector<bool> left_out_;
  std::vector<bool> looks_back_;            // a function of history is in the node's subtree
  std::vector<std::size_t> begins_, ends_;  // of the code of a node's subtree
  Program program_;
  std::size_t height_ = 0;
  std::size_t deepest_ = 0;
};

}  // namespace

Result<Program> emit(const Syntax& syntax, const Meanings& meanings, const Scope& scope) {
  return Emitter(syntax, meanings, scope).run();
}

}  // namespace overwinter
