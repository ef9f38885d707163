#include "rules/language/vocabulary.h"

#include <algorithm>
#include <array>

#include "rules/language/compile.h"

namespace overwinter {
namespace {

// In the order of BuiltIn.
constexpr std::array<std::string_view, 14> names = {"mean",       "lowest",   "highest",  "change",      "slope",
                                                    "time_share", "held_for", "known",    "first_known", "abs",
                                                    "min",        "max",      "absolute", "gauge"};
static_assert(names.size() == static_cast<std::size_t>(BuiltIn::gauge) + 1);

constexpr std::string_view words[] = {"if",    "then", "else", "and",   "or",   "not",   "true",
                                      "false", "now",  "in",   "place", "name", "detail"};

}  // namespace

std::optional<BuiltIn> find_built_in(std::string_view name) {
  const auto at = std::ranges::find(names, name);
  if (at == names.end()) return std::nullopt;
  return static_cast<BuiltIn>(at - names.begin());
}

std::span<const std::string_view> built_in_names() { return names; }

bool is_language_word(std::string_view word) { return std::ranges::find(words, word) != std::end(words); }

bool is_reserved_word(std::string_view word) { return is_language_word(word) || find_built_in(word).has_value(); }

}  // namespace overwinter
