// One pass: what the readings of a step mean, from models to alarms to reminders.
#pragma once

#include "rules/engine/world.h"

namespace overwinter {

void begin_pass(World& world, Instant now);
void settle(World& world);               // models, conditions; then the pass's events leave in plan order
void advance(World& world, Instant to);  // everything that falls due up to `to`, each at its own instant
void start_world(World& world);          // arms the deadlines of a new world; its first pass is yet to come
// After a restore with another plan: deadlines are worked out anew, and the next step looks at everything and tells
// what ended.
void arm_reloaded(World& world);
void take_up_reload(World& world);

}  // namespace overwinter
