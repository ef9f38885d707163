// What the checker finds out about each node of a tree.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

#include "rules/language/scope.h"
#include "rules/language/syntax.h"
#include "rules/language/vocabulary.h"
#include "rules/quantity/function.h"
#include "rules/quantity/type.h"
#include "rules/result.h"

namespace overwinter {

struct Meaning {
  Type type;
  Shown shown = Shown::by_dimension;
  bool constant = false;  // `value` is what it always is
  bool bare = false;      // a number without a unit, as written or in `with:`
  double value = 0;
  std::optional<Reference> reference;      // of a path
  std::optional<Reference> plus_minus;     // of a path that prints with its uncertainty
  std::optional<BuiltIn> built_in;         // of a call
  const Function* function = nullptr;      // of a call of a function of physics
  Span window{};                           // of a call of a function of history
  std::vector<std::uint16_t> translation;  // of a word: its place in the list that its parameter takes
};

using Meanings = std::vector<Meaning>;

// What a path names, with its suffixes.
Result<Meaning> resolve_path(const Syntax& syntax, const Node& path, const Scope& scope, FunctionTable functions);

// Types, constants, words, references: one meaning for each node; or the faults, from the left, one at least. What
// rests on a faulty operand is not looked at.
tl::expected<Meanings, Faults> check(const Syntax& syntax, const Scope& scope, FunctionTable functions);

// The checked tree as code. Cannot fail but for the depth of the stack.
Result<Program> emit(const Syntax& syntax, const Meanings& meanings, const Scope& scope);

// ": one of `a`, `b`, `c`" for short lists, "" for long ones; "did you mean `b`?" when one is near.
std::string suggest(std::string_view word, std::vector<std::string_view> candidates);

}  // namespace overwinter
