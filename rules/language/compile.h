// Text to checked program: lexer, parser, checker, constant folding in one call.
#pragma once

#include <string_view>

#include "rules/language/program.h"
#include "rules/language/scope.h"
#include "rules/quantity/function.h"
#include "rules/result.h"

namespace overwinter {

// What the place of an expression demands of its answer.
enum class Wanted : unsigned char { boolean, any };

// The first Fault found, with where.line 1 and column/length in code points of the text itself; file is empty. The text
// and the hint name the fix (LANGUAGE). Limits: 4096 characters, depth 64. `others` gets the faults behind the first
// that do not follow from it, such as a second unknown name; a text that does not parse has one.
Result<Program> compile(std::string_view text, const Scope& scope, FunctionTable functions, Wanted wanted,
                        Faults* others = nullptr);

// Rebuilds an expression from its tree with every operator's operands in brackets, for tests: "(a < (b + 3 psi))".
Result<std::string> dump_syntax(std::string_view text);

// True for words of the language (if, then, else, and, or, not, true, false, now, in, place, name, ...) and names of
// the built-in functions: no id, with-name or quantity may be one.
bool is_reserved_word(std::string_view word);

}  // namespace overwinter
