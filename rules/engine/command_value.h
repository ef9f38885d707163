// What a person says in a command: a value with its unit, a word, yes or no.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "rules/engine/command.h"
#include "rules/quantity/print.h"
#include "rules/quantity/type.h"

namespace overwinter {

struct TypedValue {
  double value = 0;  // canonical; 1 and 0 of booleans, the index of a word
  std::string word;  // of booleans and words, for the event
};

// The value of a member. nullopt: the call is refused and says why, and what it could have been.
// sensor: of the quantity, whose words for yes and no a person may use too; nullptr: there is none.
std::optional<TypedValue> read_typed_value(CommandCall& call, const CommandMember& member, const Type& type,
                                           Shown shown, const Sensor* sensor = nullptr);

// A value of the slot as the site shows it: "48.5 psi".
std::string printed(const CommandCall& call, std::uint32_t slot, double value);

// "psi, kPa, bar"
std::string listed(std::span<const std::string_view> words);

}  // namespace overwinter
