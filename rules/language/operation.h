// The operators on cells that may be unknown: what the evaluator runs and the checker folds.
#pragma once

#include <span>

#include "rules/language/program.h"

namespace overwinter {

// Cells of the evaluator's stack; it lives on the thread's stack, so it is small and fixed.
inline constexpr std::size_t max_stack_depth = 128;

// Operators from negate to first_known. Arithmetic and comparison with an unknown is unknown; `false and unknown` is
// false, `true or unknown` is true; `if unknown` is unknown. What is not finite is unknown, as a division by zero is.
Cell operate(Op op, std::span<const Cell> operands);

// A call of a function of physics. `why`: when all arguments are known and there is no answer, the reason.
Cell call(const Function& function, std::span<const Cell> arguments, const char** why);

// How many cells an operator takes, of those with a fixed number.
int operand_count(Op op);

}  // namespace overwinter
