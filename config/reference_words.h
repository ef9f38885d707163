// Words and marks that the reference pages share.
#pragma once

#include <span>
#include <string>
#include <string_view>

#include "rules/quantity/type.h"

namespace overwinter {

// For a cell of a Markdown table: no mark of Markdown's, no line break.
std::string escaped(std::string_view text);

// Each in code, with commas.
std::string list_of(std::span<const std::string_view> words);

// "a pressure: `psi`, `kPa`, `bar`"; of words the list.
std::string type_in_words(const Type& type);

}  // namespace overwinter
