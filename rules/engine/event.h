// What comes out of the engine: events and answers, plain data. daemon/ turns them into JSON.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "rules/quantity/time.h"

namespace overwinter {

enum class Priority : std::uint8_t { low, medium, high, critical };
std::string_view name_of(Priority priority);

enum class EventKind : std::uint8_t {
  alarm_raised,
  alarm_cleared,
  alarm_acknowledged,
  alarm_shelved,
  alarm_unshelved,
  alarm_suppressed,
  alarm_unsuppressed,
  gear_taken_out,
  gear_put_back,
  reminder_due,
  reminder_overdue,
  reminder_done,
  reminder_skipped,
  hand_reading,
  act,
  command_refused,
  reading_rejected,
  sensor_silent,
  sensor_back,
  digest,
};
std::string_view name_of(EventKind kind);

// Keys that do not apply are left at nothing / empty.
struct Event {
  Instant at{};
  EventKind kind = EventKind::digest;
  std::string id;
  std::string rule;
  std::string reminder;
  std::string gear;
  std::string quantity;
  std::optional<Priority> priority;
  std::optional<double> value;  // canonical, named by unit; a boolean or word hand reading has `word` instead
  std::string word;             // printed as `value` when not empty ("true"/"false" print as booleans)
  std::string unit;
  std::optional<double> expected, plus_minus;
  std::optional<Instant> since, due, until, last_at;
  std::optional<std::uint64_t> count;
  std::optional<Instant> respond_by;
  std::string by, title, message, reason;
};

struct Answer {
  Instant at{};
  std::string command;  // "record"
  std::string id;       // echoed
  bool accepted = false;
  std::string why;     // only when refused
  std::string answer;  // for a person
};

struct Output {
  std::vector<Event> events;
  std::vector<Answer> answers;

  void clear() {
    events.clear();
    answers.clear();
  }
};

}  // namespace overwinter
