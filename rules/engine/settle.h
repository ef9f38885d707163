// One pass: what the readings of a step mean, from models to alarms to reminders.
#pragma once

#include "rules/engine/world.h"

namespace overwinter {

void begin_pass(World& world, Instant now);
void settle(World& world);     // models, conditions; then the pass's events leave in plan order
void advance(World& world, Instant to);  // everything that falls due up to `to`, each at its own instant
void start_world(World& world);          // begins the first pass of a new world: everything is looked at
void resume_world(World& world);         // arms a restored world; its conditions are looked at with the next step

}  // namespace overwinter
