// Runs a program. No allocation; three-valued.
#pragma once

#include <span>

#include "rules/language/program.h"
#include "rules/language/window.h"

namespace overwinter {

// What a program reads: the engine's board, or a test's table.
class Readings {
 public:
  virtual ~Readings() = default;
  // instant facets in seconds since 1970, since_read in seconds.
  virtual Cell read(Reference reference) const = 0;
  // When the reading of this slot that arrived in the present step was taken; one that became unknown, in this step.
  // What is later than the step counts as of it. never: none arrived.
  virtual Instant arrived(std::uint32_t slot) const = 0;
};

// One window per program.histories, in order; empty span is allowed when there are none.
Cell evaluate(const Program& program, const Readings& readings, std::span<Window> windows, Instant now);

// True (false) only where it is so whatever the unknown inputs would say: `known` and `first_known` of an unknown are
// unknown here, and so are functions of history.
Cell evaluate_whatever_is_unknown(const Program& program, const Readings& readings, Instant now);

// The reason why a call gave no value in the last pass, for `compute` and explain: evaluates again, with no windows
// (functions of history are unknown). nullptr when everything is known.
const char* reason_of_no_value(const Program& program, const Readings& readings, Instant now);

}  // namespace overwinter
