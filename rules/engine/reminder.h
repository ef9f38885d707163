// Recurring and conditional work. Due instants are 08:00 local; with good_day_when it is told at the first instant
// after the due date at which the condition is true between 08:00 and 18:00, at the latest when grace has passed.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "rules/engine/world.h"

namespace overwinter {

// Works out the next due date of every dirty reminder, tells what is due or overdue, takes evidence.
void settle_reminders(World& world);

// How work ended, and who told it.
struct Completion {
  enum class Outcome : std::uint8_t { done, skipped };
  enum class Told : std::uint8_t { by_command, by_evidence };  // of a person, or of what was measured
  Outcome outcome = Outcome::done;
  Told told = Told::by_command;
  std::string by{}, found{};  // of a command; may be empty
};
void complete_reminder(World& world, std::uint32_t reminder, Instant at, Completion completion);

// A new season: what was done at the last lay-up and return will be asked for again.
void reopen_seasonal_reminders(World& world);

// It was told, due or overdue, and is not done.
bool is_open(const ReminderState& reminder);
// It is due, and waits to be told on a day that suits.
bool waits_for_good_day(const ReminderState& reminder, Instant now);
Span grace_of(const ReminderDef& def);
// When work that is not done is overdue: after its grace, and a day after it was asked for at the earliest.
Instant overdue_at(const ReminderDef& def, Instant due, Instant told);
// Work that a condition asked for and asks for no more, as to charge a battery that froze since, is not called for.
bool is_called_for(const World& world, std::uint32_t reminder);
// Of this name, else of this former one; an empty `gear`: on whatever it is about.
std::vector<std::uint32_t> find_reminders(const Plan& plan, std::string_view name, std::string_view gear);
// Its message as it reads now.
std::string reminder_text(World& world, std::uint32_t reminder);

}  // namespace overwinter
