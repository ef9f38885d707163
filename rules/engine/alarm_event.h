// What an alarm says: its texts, and the event that carries them.
#pragma once

#include "rules/engine/world.h"

namespace overwinter {

// Renders title and message with the values of this moment.
void render_alarm(World& world, std::uint32_t alarm);
// "Left front tire: tire leaking": of one that has no words, for it never stood.
std::string name_of_alarm(const World& world, std::uint32_t alarm);
// After a reload in which its gear got another name: of an alarm that stands both are rendered anew, of one that is
// over the title alone.
void retitle_alarm(World& world, std::uint32_t alarm);
// While it stands: the message anew where it tells a {detail} (which sensors are silent) and there is one.
void follow_detail(World& world, std::uint32_t alarm);
// What {detail} says of gear in messages that are not of the watch: how long it charges, say; empty: nothing is known.
std::string detail_of_gear(const World& world, std::uint32_t entity);
Event alarm_event(const World& world, std::uint32_t alarm, EventKind kind);

}  // namespace overwinter
