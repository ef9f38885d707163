// Commands: what a person says through the hub (do/record, do/act, do/acknowledge, ...). Each gets an answer; a refused
// one also an event. The same id within 24 h is answered again and not executed twice.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "rules/engine/world.h"
#include "rules/result.h"

namespace overwinter {

void execute(World& world, const CommandMessage& message);

// Once the step has settled: adds to the answer to a hand reading the alarms of that gear that it did not end.
void tell_what_still_stands(World& world);

// One command under way: typed access to its members, and why it is refused.
class CommandCall {
 public:
  CommandCall(World& the_world, const CommandMessage& the_message);

  World& world;
  const CommandMessage& message;
  Instant at{};  // when it happened
  std::string id, by, note;
  std::string refused;  // not empty: why
  std::string answer;   // for a person

  void refuse(std::string why) {
    if (refused.empty()) refused = std::move(why);
  }
  // A member whose text is at fault, with the remedy: "'for': 2 days ... (write `d`)".
  void refuse_member(const std::string& key, const Fault& fault) {
    refuse("'" + key + "': " + fault.text + (fault.hint.empty() ? "" : " (" + fault.hint + ")"));
  }
  const CommandMember* find(std::string_view key) const;
  // Text of a member; refuses when it is missing (and required) or of another type.
  std::string text(std::string_view key, bool required);
  // The gear, place or site named by `gear`, also by its former name; no_index and refused otherwise.
  std::uint32_t entity();
  std::string entity_name() const;
  // RFC 3339, or a date (start of that day, local).
  std::optional<Instant> instant(std::string_view key);
};

// "left_tire, right_tire and spare": at most five of them, then how many more there are.
std::string a_few(const std::vector<std::string_view>& names);

// command_record.cpp
void run_record(CommandCall& call);
// command_act.cpp
void run_act(CommandCall& call);
// command_alarm.cpp
void run_acknowledge(CommandCall& call);
void run_shelve(CommandCall& call);
void run_unshelve(CommandCall& call);
// command_service.cpp
void run_take_out(CommandCall& call);
void run_put_back(CommandCall& call);
void run_done(CommandCall& call);
void run_skip(CommandCall& call);
void run_season(CommandCall& call);

}  // namespace overwinter
