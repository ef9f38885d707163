#include "rules/language/arguments.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "rules/language/operation.h"
#include "rules/language/typing.h"
#include "rules/quantity/code.h"
#include "rules/quantity/unit.h"

namespace overwinter {
namespace {

std::string_view written(const Syntax& syntax, NodeIndex index) {
  return slice(syntax.source, syntax.nodes[index].extent);
}

Fault at_node(const Syntax& syntax, NodeIndex index, std::string text, std::string hint) {
  return fault_at(syntax.source, syntax.nodes[index].extent, std::move(text), std::move(hint)).value();
}

// "write `40 psi`, `40 kPa` or `40 bar`"; of a name or a sum: "give it a unit, as in `40 psi`, `40 kPa` or `40 bar`"
std::string with_units(std::string_view number, std::string_view how, const Type& type) {
  const auto units = usual_units(type);
  std::string hint;
  for (std::size_t i = 0; i < units.size(); ++i) {
    hint += i == 0 ? how : i + 1 == units.size() ? " or " : ", ";
    hint += fmt::format("`{} {}`", number, units[i]);
  }
  return hint.empty() ? "give it a unit" : hint;
}

// True for a humidity, a charge and what is reckoned from one. The share of a time is none: nobody writes it as 90.
bool is_in_percent(const Syntax& syntax, const Meanings& meanings, NodeIndex index) {
  const Meaning& meaning = meanings[index];
  if (meaning.shown != Shown::percent || meaning.constant || meaning.built_in == BuiltIn::time_share) return false;
  if (meaning.reference) return true;
  return std::ranges::any_of(syntax.nodes[index].children,
                             [&](NodeIndex child) { return is_in_percent(syntax, meanings, child); });
}

// Up to 1 a number may be a share as it is, or the number of a %.
Fault which_percent(const Syntax& syntax, NodeIndex bare, double value) {
  const std::string_view text = written(syntax, bare);
  const std::string percent = fmt::format("{:.10g} %", 100 * value);
  const bool is_literal = syntax.nodes[bare].kind == NodeKind::number;
  return at_node(syntax, bare, fmt::format("{} without a unit: is it {}, or {:.10g} %?", quote(text), percent, value),
                 is_literal ? fmt::format("write `{}` or `{} %`", percent, text)
                            : fmt::format("give it in %, as in `{}`", percent));
}

std::optional<Fault> check_bare(const Syntax& syntax, const Meanings& meanings, NodeIndex bare, const Meaning& other) {
  const Meaning& number = meanings[bare];
  if (!number.bare || !number.constant || !other.type.is_numeric()) return std::nullopt;
  const std::string_view text = written(syntax, bare);
  const bool is_literal = syntax.nodes[bare].kind == NodeKind::number;
  if (other.type.dimension != dimension::none) {
    return at_node(syntax, bare, fmt::format("{} has no unit, and {} needs one", quote(text), describe(other.type)),
                   is_literal ? with_units(text, "write ", other.type)
                              : with_units(fmt::format("{:.10g}", number.value), "give it a unit, as in ", other.type));
  }
  if (other.shown == Shown::percent && std::abs(number.value) > 1) {
    return at_node(syntax, bare, fmt::format("{} without a unit is no share", quote(text)),
                   is_literal ? fmt::format("write `{} %`", text) : "give it in %, as in `60 %`");
  }
  return std::nullopt;
}

}  // namespace

bool is_loose_word(const Meaning& meaning) {
  return meaning.constant && meaning.type.sort == Sort::word && meaning.type.words.empty();
}

std::optional<Fault> check_bare_pair(const Syntax& syntax, const Meanings& meanings, NodeIndex a, NodeIndex b) {
  if (meanings[a].bare && meanings[b].bare) return std::nullopt;
  const std::pair<NodeIndex, NodeIndex> both_ways[] = {{a, b}, {b, a}};
  for (const auto& [bare, other] : both_ways) {
    if (auto wrong = check_bare(syntax, meanings, bare, meanings[other])) return wrong;
    const Meaning& number = meanings[bare];
    if (!number.bare || !number.constant || number.value == 0) continue;
    if (is_in_percent(syntax, meanings, other)) return which_percent(syntax, bare, number.value);
  }
  return std::nullopt;
}

std::optional<Fault> check_bare_argument(const Syntax& syntax, const Meanings& meanings, NodeIndex argument,
                                         const FunctionParameter& parameter) {
  Meaning wanted;
  wanted.type = parameter.type;
  wanted.shown = parameter.shown;
  return check_bare(syntax, meanings, argument, wanted);
}

std::optional<Fault> must_be_boolean(const Syntax& syntax, const Meanings& meanings, NodeIndex index,
                                     std::string_view who) {
  const Type& type = meanings[index].type;
  if (type.sort == Sort::boolean) return std::nullopt;
  return at_node(syntax, index, fmt::format("{} takes what is true or false, and this is {}", who, describe(type)),
                 type.is_numeric() ? "compare it with something, as in `x < y`" : "compare it with `==`");
}

std::optional<Fault> take_word(const Syntax& syntax, Meanings& meanings, NodeIndex index, Words words) {
  const std::string_view word = syntax.nodes[index].text;
  const auto found = std::ranges::find(words, word);
  if (syntax.nodes[index].kind != NodeKind::text || found == words.end()) {
    std::string hint = suggest(word, {words.begin(), words.end()});
    if (hint.empty()) {
      for (const std::string_view known : words) hint += fmt::format("{}`{}`", hint.empty() ? "one of " : ", ", known);
    }
    return at_node(syntax, index, fmt::format("{} is no word that can stand here", quote(word)), std::move(hint));
  }
  meanings[index].type = Type::word(words);
  meanings[index].value = static_cast<double>(found - words.begin());
  return std::nullopt;
}

std::optional<Fault> take_code(const Syntax& syntax, Meanings& meanings, NodeIndex index) {
  const std::string_view digits = syntax.nodes[index].text;
  const auto number = number_of_code(digits);
  if (!number) {
    return at_node(syntax, index, fmt::format("{} is no code of digits", quote(digits)),
                   how_to_turn(meanings[index].type, Type::code()));
  }
  meanings[index].type = Type::code();
  meanings[index].value = *number;
  return std::nullopt;
}

Result<Type> unify(const Syntax& syntax, Meanings& meanings, std::span<const NodeIndex> operands, Extent mark) {
  const auto listed = std::ranges::find_if(
      operands, [&](NodeIndex i) { return meanings[i].type.sort == Sort::word && !is_loose_word(meanings[i]); });
  const bool coded = std::ranges::any_of(operands, [&](NodeIndex i) { return meanings[i].type.sort == Sort::code; });
  for (const NodeIndex i : operands) {
    if (!is_loose_word(meanings[i])) continue;
    if (coded) {
      if (auto wrong = take_code(syntax, meanings, i)) return tl::unexpected(*wrong);
    } else if (listed != operands.end()) {
      if (auto wrong = take_word(syntax, meanings, i, meanings[*listed].type.words)) return tl::unexpected(*wrong);
    } else if (std::ranges::all_of(operands, [&](NodeIndex k) { return meanings[k].type.sort == Sort::word; })) {
      return tl::unexpected(
          at_node(syntax, i, "a word beside words belongs to no list", "one side must be a quantity"));
    }
  }
  Type type = meanings[operands.front()].type;
  for (std::size_t i = 1; i < operands.size(); ++i) {
    for (std::size_t k = 0; k < i; ++k) {
      if (auto wrong = check_bare_pair(syntax, meanings, operands[k], operands[i])) return tl::unexpected(*wrong);
    }
    const Result<Type> common = common_type(type, meanings[operands[i]].type);
    if (!common) return fault_at(syntax.source, mark, common.error().text, common.error().hint);
    type = *common;
  }
  return type;
}

Result<Meaning> fold(const Syntax& syntax, const Node& node, Op op, const Meanings& meanings, Meaning meaning) {
  std::vector<Cell> cells;
  cells.reserve(node.children.size());
  for (const NodeIndex child : node.children) {
    if (!meanings[child].constant) return meaning;
    cells.push_back(Cell::of(meanings[child].value));
  }
  const char* why = nullptr;
  const Cell answer = op == Op::call ? call(*meaning.function, cells, &why) : operate(op, cells);
  if (!answer.known) {
    return fault_at(syntax.source, node.extent,
                    fmt::format("{} has no value: {}", quote(slice(syntax.source, node.extent)),
                                why != nullptr ? why : "it is out of range"),
                    "its numbers are constants: change them");
  }
  meaning.constant = true;
  meaning.value = answer.value;
  return meaning;
}

Shown common_shown(const Meaning& a, const Meaning& b) {
  if (a.constant && !b.constant && b.shown != Shown::by_dimension) return b.shown;
  return a.shown != Shown::by_dimension ? a.shown : b.shown;
}

}  // namespace overwinter
