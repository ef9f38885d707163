// What goes into the engine, plain data: one message (or command, or change of the link) is one step.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "rules/quantity/time.h"

namespace overwinter {

// What one bound sensor got out of one message: a value in canonical units (calibrated, plausible, finite), or why not.
struct SensorValue {
  std::uint32_t sensor = 0;  // index in Plan::sensors
  double value = 0;
  Instant at{};  // the payload's own time, else the time of receipt
  bool own_time = false;
  const char* rejected_because = nullptr;  // a static sentence; value is meaningless then
  // Of the sensor itself, in the unit that its binding names; also beside a value that is rejected.
  std::optional<double> battery = {}, link = {};
};

struct SensorMessage {
  std::vector<SensorValue> values;  // in plan order
  bool retained = false;
};

// A command as it came; the engine checks the members and answers.
struct CommandMember {
  std::string key;
  std::variant<std::string, bool, double> value;
};
struct CommandMessage {
  std::string command;                 // the topic's part after do/
  std::vector<CommandMember> members;  // top level of the JSON object
  std::string unreadable;              // not empty: why the payload is no command (not JSON, nested, too large)
  bool retained = false;
};

struct LinkChanged {
  bool up = true;
};
struct JournalChanged {
  bool writable = true;
  std::string why;  // not; empty: as disks and cards will
};
struct Tick {};

struct Input {
  Instant at{};  // never before the last one's; the engine clamps and counts
  std::variant<Tick, SensorMessage, CommandMessage, LinkChanged, JournalChanged> what;
};

}  // namespace overwinter
