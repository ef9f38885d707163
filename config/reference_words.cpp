#include "config/reference_words.h"

#include <fmt/format.h>

#include "rules/quantity/unit.h"

namespace overwinter {

std::string escaped(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (c == '|' || c == '<' || c == '>') out += '\\';
    out += c == '\n' ? ' ' : c;
  }
  return out;
}

std::string list_of(std::span<const std::string_view> words) {
  std::string text;
  for (const std::string_view word : words) text += fmt::format("{}`{}`", text.empty() ? "" : ", ", word);
  return text;
}

std::string type_in_words(const Type& type) {
  if (type.sort == Sort::word) return list_of(type.words);
  if (type.sort == Sort::code) return "digits in quotes";
  if (type.sort == Sort::boolean) return "`true` or `false`";
  if (type.sort == Sort::instant) return "date";
  const auto units = usual_units(type);
  return units.empty() ? describe(type) : fmt::format("{}: {}", describe(type), list_of(units));
}

}  // namespace overwinter
