// Events as lines for a person: the winter's story and, at its end, the scoreboard.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <utility>

#include "rules/engine/event.h"
#include "rules/engine/plan.h"

namespace overwinter {

// "Fri Dec 18 2026 09:15", in the site's time and units.
std::string local_date_and_time(const Plan& plan, Instant at);

// One line without a line break: local date and time, what happened, to which gear, the words of it.
std::string story_line(const Plan& plan, const Event& event);
std::string story_line(const Plan& plan, const Answer& answer);

// What a replay counted.
struct ReplayCounts {
  std::uint64_t readings = 0;  // values that sensors got out of messages
  std::uint64_t rejected = 0;  // of them: no value, with a reason
  std::uint64_t commands = 0, refused = 0;
  std::uint64_t ignored = 0;  // lines whose topic nothing binds
  std::uint64_t earlier = 0;  // lines before the line before
  std::uint64_t broken = 0;
};

class Scoreboard {
 public:
  void take(const Event& event);
  // Several lines, each ended.
  std::string text(const Plan& plan, Instant from, Instant to, const ReplayCounts& counts) const;

 private:
  struct Raised {
    std::uint64_t count = 0;
    Instant first{};
  };
  std::map<std::string, Raised> alarms_;  // by rule
  std::uint64_t reminders_done_ = 0, reminders_overdue_ = 0, hand_readings_ = 0, acts_ = 0;
  std::map<std::pair<std::string, std::string>, Instant> silent_since_;  // gear, quantity
  Span silent_{};
};

}  // namespace overwinter
