// on_delay and off_delay: elapsed time while a condition is true; unknown stops it, unknown for 24 h resets it.
#pragma once

#include "rules/engine/world.h"

namespace overwinter {

void run_delay(Delay& delay, const Cell& condition, Instant now);
// Nothing may stand of it now: what ran does not count, and it begins anew when it is run again. known: the condition
// is.
void withhold_delay(Delay& delay, bool known, Instant now);
// Time run so far.
Span delay_run(const Delay& delay, Instant now);
// The instant at which `length` will have run if nothing changes; never while stopped or waiting for a reading.
Instant delay_deadline(const Delay& delay, Span length);

}  // namespace overwinter
