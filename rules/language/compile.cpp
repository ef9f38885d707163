#include "rules/language/compile.h"

#include <fmt/format.h>

#include "rules/language/meaning.h"
#include "rules/language/parser.h"

namespace overwinter {

Result<Program> compile(std::string_view text, const Scope& scope, FunctionTable functions, Wanted wanted,
                        Faults* others) {
  const Result<Syntax> syntax = parse(text);
  if (!syntax) return tl::unexpected(syntax.error());
  const tl::expected<Meanings, Faults> meanings = check(*syntax, scope, functions);
  if (!meanings) {
    const Faults& faults = meanings.error();
    if (others != nullptr) others->insert(others->end(), faults.begin() + 1, faults.end());
    return tl::unexpected(faults.front());
  }
  const Type& type = meanings->back().type;
  const Extent whole = syntax->nodes.back().extent;
  if (wanted == Wanted::boolean && type.sort != Sort::boolean) {
    return fault_at(text, whole, fmt::format("a condition is true or false, and this is {}", describe(type)),
                    type.is_numeric() ? "compare it with something, as in `x < y`" : "compare it with `==`");
  }
  if (type.sort == Sort::word && type.words.empty()) {
    return fault_at(text, whole, "a word alone says nothing",
                    "compare a quantity with it, as in `verdict == \"leaking\"`");
  }
  return emit(*syntax, *meanings, scope);
}

}  // namespace overwinter
