// on_delay and off_delay: elapsed time while a condition is true; unknown stops it, unknown for 24 h resets it.
#pragma once

#include "rules/engine/world.h"

namespace overwinter {

// True: it begins now.
bool run_delay(Delay& delay, const Cell& condition, Instant now);
// Nothing may stand of it now: what ran does not count. known: the condition is.
void withhold_delay(Delay& delay, bool known, Instant now);
// Nothing of it has counted: it was withheld until now.
bool is_withheld(const Delay& delay);
// Time run so far.
Span delay_run(const Delay& delay, Instant now);
// The instant at which `length` will have run if nothing changes; never while stopped.
Instant delay_deadline(const Delay& delay, Span length);

}  // namespace overwinter
