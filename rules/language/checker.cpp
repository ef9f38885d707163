// Types of every node, from the leaves up; constants are folded on the way.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "rules/language/arguments.h"
#include "rules/language/meaning.h"
#include "rules/language/operation.h"
#include "rules/language/typing.h"

namespace overwinter {
namespace {

constexpr double absolute_zero = -273.15;  // degC; SI Brochure, 9th edition, 2.3.1

bool is_equality(Op op) { return op == Op::equal || op == Op::not_equal; }

class Checker {
 public:
  Checker(const Syntax& syntax, const Scope& scope, FunctionTable functions)
      : syntax_(syntax), scope_(scope), functions_(functions) {}

  tl::expected<Meanings, Faults> run() {
    meanings_.reserve(syntax_.nodes.size());
    faulty_.reserve(syntax_.nodes.size());
    for (const Node& node : syntax_.nodes) add(node);
    if (faults_.empty()) return std::move(meanings_);
    return tl::unexpected(std::move(faults_));
  }

 private:
  // A fault makes all that rests on it faulty, and is told once.
  void add(const Node& node) {
    bool faulty = std::ranges::any_of(node.children, [&](NodeIndex child) { return faulty_[child]; });
    Meaning meaning;
    if (!faulty) {
      Result<Meaning> found = of(node);
      faulty = !found;
      if (found) {
        meaning = std::move(*found);
      } else {
        faults_.push_back(std::move(found.error()));
      }
    }
    meanings_.push_back(std::move(meaning));
    faulty_.push_back(faulty);
  }

  Result<Meaning> of(const Node& node) {
    switch (node.kind) {
      case NodeKind::number:
        return number(node);
      case NodeKind::date:
        return date(node);
      case NodeKind::text:
        return constant(Type::word({}), 0);
      case NodeKind::boolean:
        return constant(Type::boolean(), node.number);
      case NodeKind::now: {
        Meaning meaning;
        meaning.type = Type::instant();
        return meaning;
      }
      case NodeKind::path:
        return resolve_path(syntax_, node, scope_, functions_);
      case NodeKind::call:
        return check_call(Arguments{syntax_, meanings_, node, scope_, functions_});
      case NodeKind::operation:
        return operation(node);
    }
    return Meaning{};
  }

  static Meaning constant(Type type, double value) {
    Meaning meaning;
    meaning.type = type;
    meaning.constant = true;
    meaning.value = value;
    return meaning;
  }

  Result<Meaning> number(const Node& node) const {
    if (node.unit_text.empty()) {
      Meaning meaning = constant(Type::share(), node.number);
      meaning.bare = true;
      return meaning;
    }
    const double value = to_canonical(node.number, node.unit);
    if (!std::isfinite(value)) return fail(node.mark, "the number is out of range", "use a unit of another size");
    Meaning meaning = constant(node.unit.is_point ? Type::temperature() : Type::number(node.unit.dimension), value);
    meaning.type.literal = is_pressure(meaning.type);
    if (node.unit_text == "%") meaning.shown = Shown::percent;
    if (node.unit.is_point && value < absolute_zero) {
      return fail(node.mark, "a temperature below absolute zero", "-273.15 degC is the lowest");
    }
    return meaning;
  }

  Result<Meaning> date(const Node& node) const {
    if (const auto day = parse_date(node.text)) {
      return constant(Type::instant(), to_seconds(from_local(*day, Span{0}, scope_.zone())));
    }
    const auto instant = parse_rfc3339(node.text);
    return constant(Type::instant(), instant ? to_seconds(*instant) : 0);
  }

  Result<Meaning> operation(const Node& node) {
    Result<Meaning> meaning = typed(node);
    if (!meaning) return meaning;
    if (node.op == Op::divide && operand(node, 1).constant && operand(node, 1).value == 0) {
      return fail(syntax_.nodes[node.children[1]].extent, "division by zero", "write a divisor that is not zero");
    }
    return fold(syntax_, node, node.op, meanings_, std::move(*meaning));
  }

  Result<Meaning> typed(const Node& node) {
    switch (node.op) {
      case Op::add:
      case Op::subtract:
      case Op::multiply:
      case Op::divide:
        return arithmetic(node);
      case Op::less:
      case Op::less_equal:
      case Op::greater:
      case Op::greater_equal:
      case Op::equal:
      case Op::not_equal:
        return comparison(node);
      case Op::negate:
        return negation(node);
      case Op::logical_not:
      case Op::logical_and:
      case Op::logical_or:
        return logic(node);
      case Op::select:
        return choice(node);
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
    return Meaning{};
  }

  Result<Meaning> arithmetic(const Node& node) {
    const Meaning& a = operand(node, 0);
    const Meaning& b = operand(node, 1);
    const bool sum = node.op == Op::add || node.op == Op::subtract;
    if (sum) {
      if (auto wrong = check_bare_pair(syntax_, meanings_, node.children[0], node.children[1]))
        return tl::unexpected(*wrong);
    }
    const Result<Type> type = sum                     ? sum_type(a.type, b.type, node.op == Op::subtract)
                              : node.op == Op::divide ? quotient_type(a.type, b.type)
                                                      : product_type(a.type, b.type);
    if (!type) return fail(node.mark, type.error().text, type.error().hint);
    Meaning meaning;
    meaning.type = *type;
    if (sum) meaning.shown = common_shown(a, b);
    meaning.bare = a.bare && b.bare;
    if (!sum && type->dimension == dimension::pressure) meaning.shown = is_pressure(a.type) ? a.shown : b.shown;
    return meaning;
  }

  Result<Meaning> comparison(const Node& node) {
    const Result<Type> type = unify(syntax_, meanings_, node.children, node.mark);
    if (!type) return tl::unexpected(type.error());
    if (type->is_numeric() && is_equality(node.op)) {
      return fail(
          node.mark,
          fmt::format("`{}` does not compare numbers: readings hardly ever are exactly equal", operator_text(node.op)),
          "use a range, as in `x > a and x < b`");
    }
    if (!type->is_numeric() && !is_equality(node.op)) {
      return fail(node.mark,
                  fmt::format("`{}` compares numbers, and this is {}", operator_text(node.op), describe(*type)),
                  "use `==` or `!=`");
    }
    Meaning meaning;
    meaning.type = Type::boolean();
    return meaning;
  }

  Result<Meaning> negation(const Node& node) const {
    const Meaning& x = operand(node, 0);
    const Result<Type> type = negative_type(x.type);
    if (!type) return fail(node.mark, type.error().text, type.error().hint);
    Meaning meaning;
    meaning.type = *type;
    meaning.shown = x.shown;
    meaning.bare = x.bare;
    return meaning;
  }

  Result<Meaning> logic(const Node& node) const {
    for (const NodeIndex child : node.children) {
      if (auto wrong = must_be_boolean(syntax_, meanings_, child, fmt::format("`{}`", operator_text(node.op)))) {
        return tl::unexpected(*wrong);
      }
    }
    Meaning meaning;
    meaning.type = Type::boolean();
    return meaning;
  }

  Result<Meaning> choice(const Node& node) {
    if (auto wrong = must_be_boolean(syntax_, meanings_, node.children[0], "`if`")) return tl::unexpected(*wrong);
    const Result<Type> type = unify(syntax_, meanings_, std::span(node.children).subspan(1), node.mark);
    if (!type) return tl::unexpected(type.error());
    Meaning meaning;
    meaning.type = *type;
    meaning.shown = common_shown(operand(node, 1), operand(node, 2));
    return meaning;
  }

  const Meaning& operand(const Node& node, std::size_t i) const { return meanings_[node.children[i]]; }

  tl::unexpected<Fault> fail(Extent extent, std::string text, std::string hint) const {
    return fault_at(syntax_.source, extent, std::move(text), std::move(hint));
  }

  const Syntax& syntax_;
  const Scope& scope_;
  FunctionTable functions_;
  Meanings meanings_;
  std::vector<bool> faulty_;  // by node
  Faults faults_;
};

}  // namespace

tl::expected<Meanings, Faults> check(const Syntax& syntax, const Scope& scope, FunctionTable functions) {
  return Checker(syntax, scope, functions).run();
}

}  // namespace overwinter
