#include "rules/language/syntax.h"

#include <fmt/format.h>

#include "rules/language/compile.h"
#include "rules/language/parser.h"

namespace overwinter {
namespace {

std::string dump_operation(const Node& node, const std::vector<std::string>& done, bool of_number) {
  const std::string& a = done[node.children[0]];
  if (node.op == Op::select) {
    return fmt::format("(if {} then {} else {})", a, done[node.children[1]], done[node.children[2]]);
  }
  if (node.op == Op::logical_not) return fmt::format("(not {})", a);
  // A minus directly before a number would belong to the number.
  if (node.op == Op::negate) return fmt::format("(-{}{})", of_number ? " " : "", a);
  return fmt::format("({} {} {})", a, operator_text(node.op), done[node.children[1]]);
}

}  // namespace

std::string_view operator_text(Op op) {
  switch (op) {
    case Op::negate:
    case Op::subtract:
      return "-";
    case Op::add:
      return "+";
    case Op::multiply:
      return "*";
    case Op::divide:
      return "/";
    case Op::less:
      return "<";
    case Op::less_equal:
      return "<=";
    case Op::greater:
      return ">";
    case Op::greater_equal:
      return ">=";
    case Op::equal:
      return "==";
    case Op::not_equal:
      return "!=";
    case Op::logical_not:
      return "not";
    case Op::logical_and:
      return "and";
    case Op::logical_or:
      return "or";
    case Op::select:
      return "if";
    case Op::constant:
    case Op::reference:
    case Op::now:
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
  return "";
}

std::string dump(const Syntax& syntax) {
  std::vector<std::string> done;
  done.reserve(syntax.nodes.size());
  for (const Node& node : syntax.nodes) {
    std::string text(node.text);
    if (node.kind == NodeKind::number && !node.unit_text.empty()) {
      text += fmt::format(" {}", node.unit_text);
    } else if (node.kind == NodeKind::text) {
      text = fmt::format("\"{}\"", node.text);
    } else if (node.kind == NodeKind::call) {
      text += '(';
      for (const NodeIndex child : node.children) text += (text.back() == '(' ? "" : ", ") + done[child];
      text += ')';
    } else if (node.kind == NodeKind::operation) {
      const bool of_number = syntax.nodes[node.children[0]].kind == NodeKind::number;
      text = dump_operation(node, done, of_number);
    }
    // What is printed into its parent is needed no more.
    for (const NodeIndex child : node.children) done[child].clear();
    done.push_back(std::move(text));
  }
  return done.back();
}

Result<std::string> dump_syntax(std::string_view text) {
  const Result<Syntax> syntax = parse(text);
  if (!syntax) return tl::unexpected(syntax.error());
  return dump(*syntax);
}

}  // namespace overwinter
