// Calls: functions of history, the small built-in ones, functions of physics.
#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "rules/language/arguments.h"
#include "rules/language/operation.h"
#include "rules/language/typing.h"
#include "rules/limits.h"

namespace overwinter {
namespace {

constexpr double shortest_window_seconds = 1;

class Call {
 public:
  explicit Call(const Arguments& call)
      : syntax_(call.syntax),
        meanings_(call.meanings),
        node_(call.node),
        scope_(call.scope),
        functions_(call.functions) {}

  Result<Meaning> check() {
    if (const auto built_in = find_built_in(node_.text)) {
      Result<Meaning> meaning = is_history(*built_in) ? history(*built_in) : small(*built_in);
      if (meaning) meaning->built_in = built_in;
      return meaning;
    }
    const auto found = std::ranges::find_if(functions_, [&](const Function& f) { return f.name == node_.text; });
    if (found != functions_.end()) return physics(*found);
    std::vector<std::string_view> names(built_in_names().begin(), built_in_names().end());
    for (const Function& function : functions_) names.push_back(function.name);
    std::string hint = suggest(node_.text, names);
    return fail(node_.mark, fmt::format("there is no function {}", quote(node_.text)),
                hint.empty() ? "the reference page lists the functions" : std::move(hint));
  }

 private:
  Result<Meaning> history(BuiltIn function) {
    const bool of_condition = function == BuiltIn::time_share || function == BuiltIn::held_for;
    if (auto wrong = count(
            2, 2, of_condition ? "a condition and a duration: `(c, 7 d)`" : "a value and a duration: `(x, 7 d)`")) {
      return tl::unexpected(*wrong);
    }
    const Meaning& x = argument(0);
    Meaning meaning;
    if (of_condition) {
      if (auto wrong = must_be_boolean(syntax_, meanings_, node_.children[0], fmt::format("`{}`", node_.text))) {
        return tl::unexpected(*wrong);
      }
    } else if (!x.type.is_numeric()) {
      return fail(extent(0), fmt::format("`{}` takes numbers, and this is {}", node_.text, describe(x.type)),
                  "how much of the time a condition was true tells `time_share(c, d)`");
    }
    if (x.constant) {
      return fail(extent(0), fmt::format("{} never changes, so it has no history", quote(written(0))),
                  "name a measured or computed quantity");
    }
    if (auto wrong = take_window(meaning)) return tl::unexpected(*wrong);
    meaning.type = history_type(function, x.type);
    if (function == BuiltIn::time_share) {
      meaning.shown = Shown::percent;
    } else if (function != BuiltIn::held_for) {
      meaning.shown = x.shown;
    }
    return meaning;
  }

  static Type history_type(BuiltIn function, const Type& x) {
    if (function == BuiltIn::held_for) return Type::boolean();
    if (function == BuiltIn::time_share) return Type::share();
    if (function == BuiltIn::change) return x.difference();
    if (function == BuiltIn::slope) return Type::number(x.difference().dimension - dimension::time);
    return x;
  }

  std::optional<Fault> take_window(Meaning& meaning) const {
    const Meaning& d = argument(1);
    const auto wrong = [&](std::string text, std::string hint) {
      return fault_at(syntax_.source, extent(1), std::move(text), std::move(hint)).value();
    };
    if (d.bare)
      return wrong(fmt::format("{} has no unit, and a duration needs one", quote(written(1))),
                   fmt::format("write `{} d`", written(1)));
    if (d.type != Type::duration()) {
      return wrong(fmt::format("`{}` looks back over a duration, and this is {}", node_.text, describe(d.type)),
                   "write it as in `7 d` or `90 min`");
    }
    if (!d.constant)
      return wrong("how far a function of history looks back must be constant", "write it as in `7 d` or `90 min`");
    if (d.value < shortest_window_seconds)
      return wrong("a function of history looks back at least 1 s", "write it as in `7 d` or `90 min`");
    if (d.value > to_seconds(Span(limits::longest_window))) {
      return wrong(fmt::format("{} is too long", quote(written(1))), "a function of history looks back at most 92 d");
    }
    meaning.window = span_from_seconds(d.value);
    return std::nullopt;
  }

  Result<Meaning> small(BuiltIn function) {
    if (function == BuiltIn::absolute || function == BuiltIn::gauge) return other_sort(function == BuiltIn::absolute);
    const bool many = function == BuiltIn::min || function == BuiltIn::max || function == BuiltIn::first_known;
    if (auto wrong =
            many ? count(2, max_stack_depth, "two or more values: `(a, b)`") : count(1, 1, "one value: `(x)`")) {
      return tl::unexpected(*wrong);
    }
    Meaning meaning;
    if (function == BuiltIn::known) {
      meaning.type = Type::boolean();
      return fold(syntax_, node_, Op::known, meanings_, std::move(meaning));
    }
    if (function == BuiltIn::abs) return magnitude();
    const Result<Type> type = unify(syntax_, meanings_, node_.children, node_.mark);
    if (!type) return tl::unexpected(type.error());
    if (function != BuiltIn::first_known && !type->is_numeric()) {
      return fail(node_.mark, fmt::format("`{}` takes numbers, and this is {}", node_.text, describe(*type)),
                  type->sort == Sort::boolean ? "write `and` or `or`" : "words have no order");
    }
    meaning.type = *type;
    meaning.shown = argument(0).shown;
    meaning.bare = true;
    for (const NodeIndex child : node_.children) {
      if (meanings_[child].shown != Shown::by_dimension && meaning.shown == Shown::by_dimension)
        meaning.shown = meanings_[child].shown;
      meaning.bare = meaning.bare && meanings_[child].bare;
    }
    const Op op = function == BuiltIn::min ? Op::minimum : function == BuiltIn::max ? Op::maximum : Op::first_known;
    return fold(syntax_, node_, op, meanings_, std::move(meaning));
  }

  Result<Meaning> magnitude() {
    const Meaning& x = argument(0);
    if (x.type.sort == Sort::temperature || x.type.sort == Sort::instant || !x.type.is_numeric()) {
      return fail(extent(0), fmt::format("`abs` takes a difference or an amount, and this is {}", describe(x.type)),
                  x.type.sort == Sort::temperature
                      ? "subtract another temperature first; a difference is written in `K`, `degC_step` or `degF_step`"
                  : x.type.sort == Sort::instant ? "subtract another instant first, as in `now - x.at`"
                                                 : "only numbers have a size");
    }
    Meaning meaning;
    meaning.type = x.type;
    meaning.shown = x.shown;
    meaning.bare = x.bare;
    return fold(syntax_, node_, Op::absolute_value, meanings_, std::move(meaning));
  }

  // absolute(x), gauge(x)
  Result<Meaning> other_sort(bool to_absolute) {
    if (auto wrong = count(1, 1, "one pressure: `(x)`")) return tl::unexpected(*wrong);
    const Meaning& x = argument(0);
    const Type from = to_absolute ? Type::gauge() : Type::absolute();
    Meaning meaning;
    meaning.type = to_absolute ? Type::absolute() : Type::gauge();
    meaning.shown = x.shown;
    if (accepts(from, x.type)) return meaning;
    if (x.bare)
      return fail(extent(0), fmt::format("{} has no unit, and a pressure needs one", quote(written(0))),
                  fmt::format("write `{} psi`", written(0)));
    if (x.type.sort == meaning.type.sort) {
      return fail(extent(0), fmt::format("this is {} already", describe(x.type)),
                  fmt::format("leave out `{}`", node_.text));
    }
    return fail(extent(0), fmt::format("`{}` takes {}, and this is {}", node_.text, describe(from), describe(x.type)),
                how_to_turn(x.type, from));
  }

  Result<Meaning> physics(const Function& function) {
    std::string list;
    for (std::size_t i = 0; i < function.parameter_count; ++i) {
      list += fmt::format("{}{}", i == 0 ? "" : ", ", function.parameters[i].name);
    }
    if (auto wrong = count(function.parameter_count, function.parameter_count, fmt::format("`({})`", list)))
      return tl::unexpected(*wrong);
    for (std::size_t i = 0; i < function.parameter_count; ++i) {
      if (auto wrong = take_argument(function.parameters[i], i)) return tl::unexpected(*wrong);
    }
    Meaning meaning;
    meaning.type = function.result;
    meaning.shown = function.shown;
    meaning.function = &function;
    return fold(syntax_, node_, Op::call, meanings_, std::move(meaning));
  }

  std::optional<Fault> take_argument(const FunctionParameter& parameter, std::size_t i) {
    const NodeIndex index = node_.children[i];
    if (parameter.type.sort == Sort::word && argument(i).type.sort == Sort::word)
      return take_word_argument(parameter, index);
    if (parameter.type.sort == Sort::code && is_loose_word(argument(i))) return take_code(syntax_, meanings_, index);
    if (auto wrong = check_bare_argument(syntax_, meanings_, index, parameter)) return wrong;
    if (accepts(parameter.type, argument(i).type)) return std::nullopt;
    return fault_at(syntax_.source, extent(i),
                    fmt::format("`{}` of `{}` is {}, and this is {}", parameter.name, node_.text,
                                describe(parameter.type), describe(argument(i).type)),
                    how_to_turn(argument(i).type, parameter.type))
        .value();
  }

  // A word in quotes, or a quantity all of whose words are words of the parameter.
  std::optional<Fault> take_word_argument(const FunctionParameter& parameter, NodeIndex index) {
    if (is_loose_word(meanings_[index])) return take_word(syntax_, meanings_, index, parameter.type.words);
    Meaning& meaning = meanings_[index];
    if (same_words(meaning.type, parameter.type)) return std::nullopt;
    std::vector<std::uint16_t> translation;
    for (const std::string_view word : meaning.type.words) {
      const auto found = std::ranges::find(parameter.type.words, word);
      if (found == parameter.type.words.end()) {
        return fault_at(syntax_.source, syntax_.nodes[index].extent,
                        fmt::format("`{}` of `{}` cannot be {}", parameter.name, node_.text, quote(word)),
                        "use `if` to choose a word in double quotes")
            .value();
      }
      translation.push_back(static_cast<std::uint16_t>(found - parameter.type.words.begin()));
    }
    if (meaning.constant) meaning.value = translation.at(static_cast<std::size_t>(meaning.value));
    if (!meaning.constant) meaning.translation = std::move(translation);
    meaning.type = parameter.type;
    return std::nullopt;
  }

  std::optional<Fault> count(std::size_t least, std::size_t most, std::string_view wanted) const {
    const std::size_t given = node_.children.size();
    if (given >= least && given <= most) return std::nullopt;
    const Extent place = given > most ? extent(most) : node_.mark;
    const std::string text = given > most ? fmt::format("`{}` takes fewer arguments", node_.text)
                                          : fmt::format("`{}` takes more arguments", node_.text);
    return fault_at(syntax_.source, place, text, fmt::format("it takes {}", wanted)).value();
  }

  const Meaning& argument(std::size_t i) const { return meanings_[node_.children[i]]; }
  Extent extent(std::size_t i) const { return syntax_.nodes[node_.children[i]].extent; }
  std::string_view written(std::size_t i) const { return slice(syntax_.source, extent(i)); }
  tl::unexpected<Fault> fail(Extent place, std::string text, std::string hint) const {
    return fault_at(syntax_.source, place, std::move(text), std::move(hint));
  }

  const Syntax& syntax_;
  Meanings& meanings_;
  const Node& node_;
  const Scope& scope_;
  FunctionTable functions_;
};

}  // namespace

Result<Meaning> check_call(const Arguments& call) { return Call(call).check(); }

}  // namespace overwinter
