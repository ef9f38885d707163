#include "daemon/told_command.h"

#include <fmt/format.h>

#include <algorithm>

#include "daemon/json_parser.h"
#include "daemon/json_text.h"
#include "daemon/person_time.h"
#include "rules/engine/engine.h"
#include "rules/limits.h"
#include "rules/quantity/print.h"

namespace overwinter {
namespace {

bool is_a_day(std::string_view key) { return key == "lay_up" || key == "return_to_service"; }
bool is_a_time(std::string_view key) { return key == "at" || key == "until" || is_a_day(key); }

Result<std::string> time_as_sent(const std::string& key, const std::string& text, const Plan& plan, Instant now) {
  if (parse_date(text)) return text;  // the service knows what its day is
  const auto read = key == "until" ? parse_person_time_to_come : parse_person_time;
  const auto at = read(text, plan.zone, now);
  if (at) return format_rfc3339(*at);
  if (is_a_day(key))
    return fault(fmt::format("`{}` of '{}' is no date", text, key), "a day of the calendar, as 2026-10-31");
  return fault(fmt::format("`{}` of '{}' is no time", text, key),
               "2026-12-19, \"2026-12-19 15:30\" or 15:30 in local time, or 2026-12-19T21:30:00Z");
}

Result<void> add_act_values(const std::vector<std::string>& words, CommandMessage& message) {
  CommandMember* last = nullptr;
  for (const std::string& word : words) {
    const std::size_t equals = word.find('=');
    if (equals == 0 || (equals == std::string::npos && last == nullptr)) {
      return fault(fmt::format("`{}` is no value of an act", word), "write it as in pressure=\"52 psi\"");
    }
    if (equals == std::string::npos) {
      std::get<std::string>(last->value) += " " + word;
      continue;
    }
    message.members.push_back({word.substr(0, equals), word.substr(equals + 1)});
    last = &message.members.back();
  }
  return {};
}

const std::string* member_text(const CommandMessage& message, std::string_view key) {
  for (const CommandMember& member : message.members) {
    if (member.key == key) return std::get_if<std::string>(&member.value);
  }
  return nullptr;
}

// A command that the engine of an untouched site accepts or refuses for the same reasons, but for its present state.
CommandMessage without_state(CommandMessage message) {
  if (message.command == "acknowledge" || message.command == "unshelve") {
    message.command = "shelve";
    message.members.push_back({"for", "1 h"});
  }
  if (message.command == "put_back") message.command = "take_out";
  for (CommandMember& member : message.members) {
    if (message.command == "season" && member.key == "return_to_service") member.key = "lay_up";
  }
  return message;
}

std::string all_ids(const Plan& plan) {
  std::string ids;
  for (const std::string_view id : plan.ids()) ids += (ids.empty() ? "" : ", ") + std::string(id);
  return ids;
}

}  // namespace

Result<CommandMessage> check_command(const GivenCommand& given, const std::shared_ptr<const Plan>& plan, Instant now) {
  CommandMessage message;
  message.command = given.command;
  for (const auto& [key, text] : given.members) {
    if (text.empty()) continue;
    if (!is_a_time(key)) {
      message.members.push_back({key, text});
      continue;
    }
    Result<std::string> time = time_as_sent(key, text, *plan, now);
    if (!time) return tl::unexpected<Fault>(time.error());
    message.members.push_back({key, *std::move(time)});
  }
  if (Result<void> added = add_act_values(given.act_values, message); !added) {
    return tl::unexpected<Fault>(added.error());
  }
  Engine engine(plan, now);
  const Output& output = engine.step({now, without_state(message)});
  if (output.answers.empty()) return fault("the command was not understood");
  const Answer& answer = output.answers.front();
  if (answer.accepted) return message;
  const std::string* gear = member_text(message, "gear");
  const bool unknown_gear = gear != nullptr && plan->find_entity(*gear) == no_index;
  const bool has_remedy = answer.why.find("did you mean") != std::string::npos;
  return fault(answer.why, unknown_gear && !has_remedy ? "this site has: " + all_ids(*plan) : "");
}

std::string time_taken(const GivenCommand& given, const Plan& plan, Instant now) {
  for (const auto& [key, text] : given.members) {
    if (key != "at") continue;
    const auto at = taken_for_yesterday(text, plan.zone, now);
    if (!at) continue;
    return fmt::format("{} is still to come today: taken for {}", text,
                       print_date_and_time(*at, plan.units, plan.zone, now));
  }
  return {};
}

std::string command_payload(const CommandMessage& message) {
  std::string out;
  JsonObject object(out);
  for (const CommandMember& member : message.members) {
    if (const auto* text = std::get_if<std::string>(&member.value)) object.text(member.key, *text);
    if (const auto* flag = std::get_if<bool>(&member.value)) object.boolean(member.key, *flag);
    if (const auto* number = std::get_if<double>(&member.value)) object.number(member.key, *number);
  }
  object.end();
  return out;
}

std::optional<HeardAnswer> read_answer(std::string_view payload, std::string_view command, std::string_view id) {
  JsonParser parser(limits::payload_bytes, limits::json_depth);
  simdjson::dom::element root;
  if (parser.parse(payload, root) != nullptr) return std::nullopt;
  const auto text = [&](std::string_view key) {
    std::string_view found;
    return root[key].get_string().get(found) == simdjson::SUCCESS ? std::string(found) : std::string();
  };
  if (!root.is_object() || text("id") != id || text("command") != command) return std::nullopt;
  HeardAnswer answer;
  if (root["accepted"].get_bool().get(answer.accepted) != simdjson::SUCCESS) return std::nullopt;
  answer.why = text("why");
  answer.answer = text("answer");
  return answer;
}

}  // namespace overwinter
