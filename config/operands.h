// Which code of a program is the operand of which: for what a condition rests on.
#pragma once

#include <cstddef>
#include <vector>

#include "rules/language/program.h"
#include "rules/quantity/time.h"

namespace overwinter {

// Of each instruction: where the code of its operands begins. Empty: no checked program.
std::vector<std::size_t> begins_of(const Program& program);

// What an instruction lies under.
struct Under {
  Span held{};             // the shortest held_for, 0: none
  bool over_time = false;  // a function in which what was read this instant has not lasted yet
};

std::vector<Under> lies_under(const Program& program);

}  // namespace overwinter
