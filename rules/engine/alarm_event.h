// What an alarm says: its texts, and the event that carries them.
#pragma once

#include "rules/engine/world.h"

namespace overwinter {

// Renders title and message with the values of this moment.
void render_alarm(World& world, std::uint32_t alarm);
// While it stands: the message anew where it tells a {detail} (which sensors are silent) and there is one.
void follow_detail(World& world, std::uint32_t alarm);
Event alarm_event(const World& world, std::uint32_t alarm, EventKind kind);

}  // namespace overwinter
