// How things stand, from the retained topics of the running service: what they say, sorted for a person. Pure.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "rules/engine/plan.h"

namespace overwinter {

struct StatusReading {
  std::string quantity;  // "pressure"
  std::string value;     // "42.6 psi", "yes"; empty: none yet
  std::string expected;  // "45.7 ± 1.5 psi"; empty: no model says
  std::string verdict;   // "fine", "lower", "leaking"; empty: nothing to judge it by
  std::optional<Instant> at;
  std::string payload;    // as it was published, one line of JSON
  bool measured = false;  // else computed
};

// Gear, a place or the site.
struct StatusEntity {
  std::uint32_t entity = 0;
  std::vector<StatusReading> readings;  // in plan order
  std::string unwatched;  // "no source for temperature, humidity": why nothing is known; empty: something is
  bool has_alarm = false;
  bool out_of_service = false;
};

struct StatusOutOfService {
  std::uint32_t entity = 0;
  std::optional<Instant> since;
};

struct StatusAlarm {
  std::string rule, gear, state, title, message, response;
  Priority priority = Priority::medium;
  std::optional<Instant> since, respond_by, shelved_until;
  bool stale = false;  // its evidence
  std::string payload;

  bool active() const { return state == "unacknowledged" || state == "acknowledged"; }
  bool out_of_service() const { return state == "out_of_service"; }
};

struct StatusReminder {
  std::string reminder, gear, state, message, safety;
  std::vector<std::string> steps, look;
  std::optional<Instant> due;
  std::string payload;
};

// A day or more in which nothing could be heard.
struct StatusGap {
  Instant from{}, until{};
};

struct Status {
  std::string service;  // "ready", "lost", ...; empty: nothing was heard of it
  std::optional<Instant> watching_since;
  std::optional<StatusGap> last_gap;
  std::vector<StatusEntity> entities;              // in plan order; only those with readings
  std::vector<StatusAlarm> alarms;                 // active ones by priority and age, then the rest
  std::vector<StatusOutOfService> out_of_service;  // in plan order; each of its alarms says so, too
  std::vector<StatusReminder> reminders;           // overdue, due, then waiting ones by date
  std::size_t unreadable = 0;                      // payloads that are not ours

  bool needs_attention() const;  // an active alarm of medium priority or above
};

// `topics`: retained payloads by topic; those outside the site's root and unknown ones are passed over.
Status read_status(const std::map<std::string, std::string>& topics, const Plan& plan);

}  // namespace overwinter
