// A command as a person gives it on the command line: checked against the site file before it goes anywhere, written
// as the service reads it, and its answer found again. Pure.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "rules/engine/input.h"
#include "rules/engine/plan.h"
#include "rules/result.h"

namespace overwinter {

struct GivenCommand {
  std::string command;                                       // "record"
  std::vector<std::pair<std::string, std::string>> members;  // in the payload's order; an empty text is left out
  std::vector<std::string> act_values;                       // "pressure=52", "psi": a word without = goes on
};

// The message to send. A fault, in the words that the service would use, for what the site file shows to be wrong: an
// unknown gear, quantity, act, rule or reminder; a value that cannot be; a time that is none. What depends on the
// present state (is that alarm active?) is for the service to say.
Result<CommandMessage> check_command(const GivenCommand& given, const std::shared_ptr<const Plan>& plan, Instant now);

// What a person should hear of how a time was taken: 23:59 said at noon is yesterday's. Empty: nothing.
std::string time_taken(const GivenCommand& given, const Plan& plan, Instant now);

// One JSON object.
std::string command_payload(const CommandMessage& message);

struct HeardAnswer {
  bool accepted = false;
  std::string why, answer;
};
// Nothing: the payload is not the answer to this command.
std::optional<HeardAnswer> read_answer(std::string_view payload, std::string_view command, std::string_view id);

}  // namespace overwinter
