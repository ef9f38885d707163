// What operators and calls demand of their operands, beyond the types of typing.h: words from lists, numbers without a
// unit, shares, constants. Works on the meanings of the nodes so far.
#pragma once

#include <optional>
#include <span>
#include <string>

#include "rules/language/meaning.h"

namespace overwinter {

// A call and what its arguments mean; the meanings of words may be changed (which list they are of).
struct Arguments {
  const Syntax& syntax;
  Meanings& meanings;
  const Node& node;
  const Scope& scope;
  FunctionTable functions;
};
Result<Meaning> check_call(const Arguments& call);

// One type for all; a word in quotes takes its place in the list of the others, or is the digits of a code. Faults at
// the operand, or at `mark` when it takes two to be wrong.
Result<Type> unify(const Syntax& syntax, Meanings& meanings, std::span<const NodeIndex> operands, Extent mark);

// A number without a unit beside a quantity that has one, or other than 0 beside a humidity or a charge; beside another
// share, and as the argument of a function, one that is above 1.
std::optional<Fault> check_bare_pair(const Syntax& syntax, const Meanings& meanings, NodeIndex a, NodeIndex b);

std::optional<Fault> check_bare_argument(const Syntax& syntax, const Meanings& meanings, NodeIndex argument,
                                         const FunctionParameter& parameter);

std::optional<Fault> must_be_boolean(const Syntax& syntax, const Meanings& meanings, NodeIndex index,
                                     std::string_view who);

// The place of a word in quotes in the list, as its meaning; or a fault with a suggestion.
std::optional<Fault> take_word(const Syntax& syntax, Meanings& meanings, NodeIndex index, Words words);

// The digits in quotes as a code, as its meaning; or a fault.
std::optional<Fault> take_code(const Syntax& syntax, Meanings& meanings, NodeIndex index);

// The value of an operator whose operands are all constant. A fault when it has none.
Result<Meaning> fold(const Syntax& syntax, const Node& node, Op op, const Meanings& meanings, Meaning meaning);

// True for a word in quotes that has not yet taken its place in a list.
bool is_loose_word(const Meaning& meaning);

Shown common_shown(const Meaning& a, const Meaning& b);

}  // namespace overwinter
