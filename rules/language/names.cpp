// What a name with its dots and suffixes means.
#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "rules/language/meaning.h"
#include "rules/language/typing.h"
#include "rules/quantity/unit.h"

namespace overwinter {
namespace {

struct Suffix {
  std::string_view text;
  Facet facet;
};
constexpr Suffix suffixes[] = {
    {"expected", Facet::expected},
    {"expected.plus_minus", Facet::expected_plus_minus},
    {"expected_now", Facet::expected_now},
    {"expected_now.plus_minus", Facet::expected_now_plus_minus},
    {"deviation", Facet::deviation},
    {"plus_minus", Facet::plus_minus},
    {"at", Facet::at},
    {"since_read", Facet::since_read},
    {"quality", Facet::quality},
};

constexpr std::size_t short_list = 8;

bool has_facet(const NamedQuantity& quantity, Facet facet) {
  if (facet == Facet::value) return true;
  if (facet == Facet::plus_minus && !quantity.type.is_numeric()) return false;
  switch (quantity.role) {
    case NamedQuantity::Role::measured:
      return !needs_expected(facet) || quantity.has_expected;
    case NamedQuantity::Role::computed:
      return facet == Facet::plus_minus || facet == Facet::at;
    case NamedQuantity::Role::parameter:
    case NamedQuantity::Role::constant:
    case NamedQuantity::Role::table:
      return false;
  }
  return false;
}

Type type_of(const NamedQuantity& quantity, Facet facet) {
  switch (facet) {
    case Facet::value:
    case Facet::expected:
    case Facet::expected_now:
      return quantity.type;
    case Facet::expected_plus_minus:
    case Facet::expected_now_plus_minus:
    case Facet::deviation:
    case Facet::plus_minus:
      return quantity.type.difference();
    case Facet::at:
      return Type::instant();
    case Facet::since_read:
      return Type::duration();
    case Facet::quality:
      return Type::word(quality_words);
  }
  return quantity.type;
}

std::optional<Facet> uncertainty_of(const NamedQuantity& quantity, Facet facet) {
  if (!quantity.type.is_numeric()) return std::nullopt;
  if (facet == Facet::expected) return Facet::expected_plus_minus;
  if (facet == Facet::expected_now) return Facet::expected_now_plus_minus;
  const bool is_computed = quantity.role == NamedQuantity::Role::computed || quantity.stand_in;
  if (facet == Facet::value && is_computed) return Facet::plus_minus;
  return std::nullopt;
}

// What stands in for a quantity is no reading: it has no age and no quality.
Reference reference_to(const NamedQuantity& quantity, Facet facet) {
  const bool by_stand_in = facet == Facet::value || facet == Facet::plus_minus;
  return {by_stand_in ? quantity.stand_in.value_or(quantity.slot) : quantity.slot, facet};
}

Meaning meaning_of(const NamedQuantity& quantity, Facet facet) {
  Meaning meaning;
  meaning.type = type_of(quantity, facet);
  if (facet != Facet::at && facet != Facet::since_read && facet != Facet::quality) meaning.shown = quantity.shown;
  if (quantity.role == NamedQuantity::Role::constant) {
    meaning.constant = true;
    meaning.value = quantity.constant;
    if (is_pressure(quantity.type)) {
      meaning.type = Type::number(dimension::pressure);
      meaning.type.literal = true;
    }
    meaning.bare = meaning.type == Type::share() && meaning.shown != Shown::percent;
    return meaning;
  }
  meaning.type.literal = false;
  meaning.reference = reference_to(quantity, facet);
  if (const auto uncertainty = uncertainty_of(quantity, facet)) {
    meaning.plus_minus = reference_to(quantity, *uncertainty);
  }
  return meaning;
}

// A path while it is looked up.
class Lookup {
 public:
  Lookup(const Syntax& syntax, const Node& path, const Scope& scope, FunctionTable functions)
      : syntax_(syntax), path_(path), scope_(scope), functions_(functions) {}

  Result<Meaning> run() {
    if (path_.text == "name" || path_.text == "detail") {
      return fail(0, path_.text, fmt::format("`{}` stands alone in a brace of a message", path_.text),
                  "a condition cannot use it");
    }
    const std::size_t dot = std::min(path_.text.find('.'), path_.text.size());
    const std::string_view first = path_.text.substr(0, dot);
    const bool alone = dot == path_.text.size();
    const bool is_number = alone && scope_.own(first);  // under `with`, and some id may be the same word
    if (!is_number && (first == "place" || scope_.is_owner(first))) {
      return alone ? bare_owner(first) : quantity(first, path_.text.substr(dot + 1));
    }
    return quantity({}, path_.text);
  }

 private:
  std::optional<NamedQuantity> find(std::string_view owner, std::string_view name) const {
    return owner.empty() ? scope_.own(name) : scope_.of(owner, name);
  }

  // The longest part of the dotted `rest` that is a name; what is left is its suffix.
  Result<Meaning> quantity(std::string_view owner, std::string_view rest) const {
    for (std::string_view name = rest;;) {
      if (const auto found = find(owner, name))
        return facet(*found, name, rest.substr(std::min(name.size() + 1, rest.size())));
      const std::size_t dot = name.rfind('.');
      if (dot == std::string_view::npos) break;
      name = name.substr(0, dot);
    }
    return unknown(owner, rest);
  }

  Result<Meaning> facet(const NamedQuantity& quantity, std::string_view name, std::string_view suffix) const {
    if (quantity.role == NamedQuantity::Role::table) {
      return fail(offset_of(name), name,
                  fmt::format("`{}` is a table: neither a condition nor a message reads it", name), {});
    }
    if (suffix.empty()) return meaning_of(quantity, Facet::value);
    std::vector<std::string_view> there;
    for (const Suffix& row : suffixes) {
      if (!has_facet(quantity, row.facet)) continue;
      if (row.text == suffix) return meaning_of(quantity, row.facet);
      there.push_back(row.text);
    }
    const bool exists = std::ranges::any_of(suffixes, [&](const Suffix& row) { return row.text == suffix; });
    std::string hint = exists ? std::string() : suggest(suffix, there);
    if (hint.empty()) {
      for (const std::string_view text : there) hint += fmt::format("{}`.{}`", hint.empty() ? "it has " : ", ", text);
    }
    if (hint.empty()) hint = "it has no suffixes: it is a value that was given";
    return fail(offset_of(suffix), suffix, fmt::format("`{}` has no `.{}`", name, suffix), std::move(hint));
  }

  Result<Meaning> bare_owner(std::string_view id) const {
    std::string hint = "write which of its quantities";
    const auto names = scope_.names(id);
    if (!names.empty()) hint += fmt::format(", as in `{}.{}`", id, names.front());
    return fail(0, id, fmt::format("`{}` is a place or gear, not a value", id), std::move(hint));
  }

  Result<Meaning> unknown(std::string_view owner, std::string_view rest) const {
    const std::string_view word = rest.substr(0, rest.find('.'));
    const auto is_function = [&](const Function& f) { return f.name == word; };
    if (owner.empty() && (find_built_in(word) || std::ranges::any_of(functions_, is_function))) {
      return fail(offset_of(word), word, fmt::format("`{}` is a function", word),
                  fmt::format("write its arguments in brackets: `{}(…)`", word));
    }
    const std::string text =
        owner.empty() ? fmt::format("there is no `{}` here", word) : fmt::format("`{}` has no `{}`", owner, word);
    std::string hint = suggest(word, scope_.names(owner));
    const bool alone = owner.empty() && word.size() == rest.size();
    if (hint.empty() && alone && parse_unit(word, UnitContext::expression)) {
      hint = "a unit stands right after a number, as in `0.05 1/d`";
    }
    if (hint.empty() && alone) hint = fmt::format("a word stands in double quotes: \"{}\"", word);
    if (hint.empty()) hint = owner.empty() ? "no place or gear has this id" : "look up the quantities of its kind";
    return fail(offset_of(word), word, text, std::move(hint));
  }

  std::size_t offset_of(std::string_view part) const {
    return static_cast<std::size_t>(part.data() - path_.text.data());
  }

  tl::unexpected<Fault> fail(std::size_t offset, std::string_view part, std::string text, std::string hint) const {
    const auto begin = static_cast<std::uint32_t>(path_.mark.begin + offset);
    return fault_at(syntax_.source, {begin, static_cast<std::uint32_t>(begin + part.size())}, std::move(text),
                    std::move(hint));
  }

  const Syntax& syntax_;
  const Node& path_;
  const Scope& scope_;
  FunctionTable functions_;
};

}  // namespace

std::string suggest(std::string_view word, std::vector<std::string_view> candidates) {
  std::string lower(word);
  for (char& c : lower) c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  std::erase(candidates, word);  // it is known, and cannot stand there
  if (const auto nearest = nearest_word(lower, candidates)) return fmt::format("did you mean `{}`?", *nearest);
  if (candidates.empty() || candidates.size() > short_list) return {};
  std::string list;
  for (const std::string_view candidate : candidates)
    list += fmt::format("{}`{}`", list.empty() ? "" : ", ", candidate);
  return candidates.size() == 1 ? fmt::format("there is {}", list) : fmt::format("one of {}", list);
}

Result<Meaning> resolve_path(const Syntax& syntax, const Node& path, const Scope& scope, FunctionTable functions) {
  return Lookup(syntax, path, scope, functions).run();
}

}  // namespace overwinter
