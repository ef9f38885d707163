#include "rules/engine/event.h"

#include <array>

namespace overwinter {

std::string_view name_of(Priority priority) {
  static constexpr std::array<std::string_view, 4> names = {"low", "medium", "high", "critical"};
  return names[static_cast<std::size_t>(priority)];
}

std::string_view name_of(EventKind kind) {
  static constexpr std::array<std::string_view, 20> names = {
      "alarm_raised",     "alarm_cleared",      "alarm_acknowledged", "alarm_shelved", "alarm_unshelved",
      "alarm_suppressed", "alarm_unsuppressed", "gear_taken_out",     "gear_put_back", "reminder_due",
      "reminder_overdue", "reminder_done",      "reminder_skipped",   "hand_reading",  "act",
      "command_refused",  "reading_rejected",   "sensor_silent",      "sensor_back",   "digest"};
  return names[static_cast<std::size_t>(kind)];
}

}  // namespace overwinter
