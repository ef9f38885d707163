// Recurring and conditional work. Due instants are 08:00 local; with good_day_when it is told at the first instant
// after the due date at which the condition is true between 08:00 and 18:00, at the latest when grace has passed.
#pragma once

#include <string>

#include "rules/engine/world.h"

namespace overwinter {

// Works out the next due date of every dirty reminder, tells what is due or overdue, takes evidence.
void settle_reminders(World& world);

// Done (or skipped) by command at `at`; `reason`: command or evidence.
void complete_reminder(World& world, std::uint32_t reminder, Instant at, bool skipped, const char* reason,
                       const std::string& by, const std::string& found);

Span grace_of(const ReminderDef& def);
std::uint32_t find_reminder(const Plan& plan, std::string_view name, std::string_view gear);  // no_index: none

}  // namespace overwinter
