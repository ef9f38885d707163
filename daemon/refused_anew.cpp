#include "daemon/refused_anew.h"

#include <algorithm>
#include <array>

#include "daemon/json_parser.h"
#include "rules/limits.h"

namespace overwinter {
namespace {

constexpr std::string_view level = "/do/";
constexpr std::array<std::string_view, 7> tells_of_gear{"record", "act",  "take_out", "put_back",
                                                        "done",   "skip", "season"};

std::string named_in(const std::string& payload) {
  JsonParser parser(limits::payload_bytes, limits::json_depth);
  simdjson::dom::element root;
  if (parser.parse(payload, root) != nullptr) return {};
  const std::string gear = text_member(root, "gear"), reminder = text_member(root, "reminder");
  return reminder.empty() || gear.empty() ? reminder + gear : reminder + " " + gear;
}

}  // namespace

void RefusedAnew::take(const JournaledInput& input, const Told& told) {
  for (const Answer& answer : told.answers) {
    const auto is_same = [&](const Command& c) { return c.name == answer.command && c.payload == input.payload; };
    if (answer.accepted || std::ranges::any_of(commands_, is_same)) continue;
    commands_.push_back({answer.at, answer.command, input.payload, answer.why});
  }
}

void RefusedAnew::take(std::string_view event_json) {
  JsonParser parser(limits::payload_bytes, limits::json_depth);
  simdjson::dom::element event;
  if (parser.parse(event_json, event) != nullptr) return;
  if (text_member(event, "event") != name_of(EventKind::command_refused)) return;
  const auto at = parse_rfc3339(text_member(event, "at"));
  const std::string name = text_member(event, "title");
  const auto found = std::ranges::find_if(commands_, [&](const Command& c) { return c.at == at && c.name == name; });
  if (found != commands_.end()) commands_.erase(found);
}

std::vector<std::string> RefusedAnew::in_words() const {
  std::vector<std::string> words;
  for (const Command& command : commands_) {
    if (std::ranges::find(tells_of_gear, command.name) == tells_of_gear.end()) continue;
    const std::string named = named_in(command.payload);
    words.push_back(named.empty() ? command.name : command.name + " " + named);
  }
  return words;
}

std::optional<JournaledInput> as_command_under(const JournaledInput& input, std::string_view topic_root) {
  const std::size_t at = input.topic.rfind(level);
  if (input.kind != JournaledInput::Kind::message || at == std::string::npos || at == 0) return std::nullopt;
  const std::string command = input.topic.substr(at);
  if (command.find('/', level.size()) != std::string::npos) return std::nullopt;
  JournaledInput said = input;
  said.topic = std::string(topic_root) + command;
  return said;
}

}  // namespace overwinter
