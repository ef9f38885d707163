// Tokens to a tree. Binary operators come from one table of priorities; nesting is bounded.
#pragma once

#include <string_view>

#include "rules/language/syntax.h"
#include "rules/result.h"

namespace overwinter {

// The text must outlive the tree. Faults as compile's.
Result<Syntax> parse(std::string_view text);

}  // namespace overwinter
