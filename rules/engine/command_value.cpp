#include "rules/engine/command_value.h"

#include <algorithm>
#include <cmath>
#include <variant>
#include <vector>

#include "rules/quantity/characters.h"
#include "rules/quantity/unit.h"
#include "rules/quantity/yes_or_no.h"

namespace overwinter {
namespace {

std::optional<TypedValue> word_value(CommandCall& call, const std::string& text, const Type& type) {
  for (std::size_t i = 0; i < type.words.size(); ++i) {
    if (same_in_any_case(type.words[i], text)) return TypedValue{static_cast<double>(i), std::string(type.words[i])};
  }
  call.refuse("'value' must be one of: " + listed(type.words));
  return std::nullopt;
}

// As people say it; else as the sensor does, so that what stands in its messages may be repeated.
std::optional<bool> said_by_text(const std::string& text, const Sensor* sensor) {
  const auto among = [&text](const std::vector<std::string>& words) {
    return std::ranges::any_of(words, [&text](const std::string& word) { return same_in_any_case(word, text); });
  };
  const std::optional<bool> usual = yes_or_no(text);
  if (usual || sensor == nullptr) return usual;
  if (among(sensor->yes)) return true;
  if (among(sensor->no)) return false;
  return std::nullopt;
}

std::string listed_with(std::span<const std::string_view> usual, const std::vector<std::string>& of_sensor) {
  std::string text = listed(usual);
  for (const std::string& word : of_sensor) {
    if (!yes_or_no(word)) text += ", " + word;
  }
  return text;
}

std::optional<TypedValue> boolean_value(CommandCall& call, const CommandMember& member, const Sensor* sensor) {
  std::optional<bool> said;
  if (const bool* is = std::get_if<bool>(&member.value)) said = *is;
  if (const auto* text = std::get_if<std::string>(&member.value)) said = said_by_text(*text, sensor);
  if (const double* number = std::get_if<double>(&member.value)) said = yes_or_no(*number);
  if (said) return TypedValue{*said ? 1.0 : 0.0, *said ? "true" : "false"};
  const std::vector<std::string> none;
  call.refuse("'" + member.key + "' must be yes or no; words for yes: " +
              listed_with(words_for_yes, sensor != nullptr ? sensor->yes : none) +
              "; for no: " + listed_with(words_for_no, sensor != nullptr ? sensor->no : none));
  return std::nullopt;
}

// Numbers that people write without a unit: a specific gravity. Humidity and charge need their %.
bool is_plain(const Type& type, Shown shown) {
  return type.sort == Sort::number && type.dimension == dimension::none && shown == Shown::plain;
}

}  // namespace

std::string listed(std::span<const std::string_view> words) {
  std::string text;
  for (const std::string_view w : words) text += (text.empty() ? "" : ", ") + std::string(w);
  return text;
}

std::optional<TypedValue> read_typed_value(CommandCall& call, const CommandMember& member, const Type& type,
                                           Shown shown, const Sensor* sensor) {
  if (type.sort == Sort::boolean) return boolean_value(call, member, sensor);
  const auto* text = std::get_if<std::string>(&member.value);
  if (type.sort == Sort::word) {
    if (text != nullptr) return word_value(call, *text, type);
    call.refuse("'" + member.key + "' must be a word");
    return std::nullopt;
  }
  const auto units = usual_units(type);
  if (text == nullptr) {
    const double* number = std::get_if<double>(&member.value);
    if (number != nullptr && is_plain(type, shown) && std::isfinite(*number)) return TypedValue{*number, {}};
    call.refuse("'" + member.key + "' needs its unit in the text, such as \"48.5 " +
                std::string(units.empty() ? "%" : units.front()) + "\"; it could be in " + listed(units));
    return std::nullopt;
  }
  const Result<double> value = parse_value_of_type(*text, type, is_plain(type, shown), UnitContext::binding);
  if (!value) {
    call.refuse_member(member.key, value.error());
    return std::nullopt;
  }
  return TypedValue{*value, {}};
}

std::string printed(const CommandCall& call, std::uint32_t slot, double value) {
  const Slot& spec = call.world.plan->slots[slot];
  return print_value(value, spec.type, spec.shown, call.world.plan->units, call.world.plan->zone, call.world.now);
}

}  // namespace overwinter
