#include "rules/engine/command.h"

#include <algorithm>
#include <array>
#include <vector>

#include "rules/limits.h"
#include "rules/quantity/characters.h"
#include "rules/quantity/unit.h"

namespace overwinter {
namespace {

struct Row {
  std::string_view name;
  void (*run)(CommandCall&);
  std::vector<std::string_view> keys;  // beside id, at, by, note; "*": the act's own values
};

const std::vector<Row>& table() {
  static const std::vector<Row> rows = {
      {"record", run_record, {"gear", "quantity", "value"}},
      {"act", run_act, {"gear", "act", "*"}},
      {"acknowledge", run_acknowledge, {"rule", "gear"}},
      {"shelve", run_shelve, {"rule", "gear", "until", "for", "why"}},
      {"unshelve", run_unshelve, {"rule", "gear", "why"}},
      {"take_out", run_take_out, {"gear", "why"}},
      {"put_back", run_put_back, {"gear", "why"}},
      {"done", run_done, {"reminder", "gear", "found"}},
      {"skip", run_skip, {"reminder", "gear", "found", "why"}},
      {"season", run_season, {"lay_up", "return_to_service"}},
  };
  return rows;
}

std::string joined(const std::vector<std::string_view>& words) {
  std::string out;
  for (const std::string_view word : words) out.append(out.empty() ? "" : ", ").append(word);
  return out;
}

std::string suggestion(std::string_view word, const std::vector<std::string_view>& candidates) {
  const auto near = nearest_word(word, candidates);
  return near ? "; did you mean " + std::string(*near) + "?" : "";
}

void check_keys(CommandCall& call, const Row& row) {
  std::vector<std::string_view> allowed = {"id", "at", "by", "note"};
  bool open = false;
  for (const std::string_view key : row.keys) {
    if (key == "*") open = true;
    allowed.push_back(key);
  }
  for (std::size_t i = 0; i < call.message.members.size(); ++i) {
    const std::string& key = call.message.members[i].key;
    for (std::size_t j = 0; j < i; ++j) {
      if (call.message.members[j].key == key) call.refuse("'" + key + "' stands twice");
    }
    if (open || std::find(allowed.begin(), allowed.end(), key) != allowed.end()) continue;
    const std::string near = suggestion(key, allowed);
    call.refuse("unknown key '" + key + "'" +
                (near.empty() ? "; " + std::string(row.name) + " takes " + joined(allowed) : near));
  }
}

void read_envelope(CommandCall& call) {
  call.id = call.text("id", false);
  call.by = call.text("by", false);
  call.note = call.text("note", false);
  if (characters(call.id) > limits::command_id_characters) call.refuse("'id' is longer than 64 characters");
  for (const CommandMember& member : call.message.members) {
    const auto* text = std::get_if<std::string>(&member.value);
    if (text != nullptr && characters(*text) > limits::by_characters) {
      call.refuse("'" + member.key + "' is longer than 200 characters");
    }
  }
  call.at = call.world.now;
  if (const auto at = call.instant("at")) {
    if (*at > call.world.now + limits::ahead) call.refuse("'at' lies in the future");
    if (*at < call.world.now - limits::back_dated_command) call.refuse("'at' lies more than 60 days back");
    call.at = std::min(*at, call.world.now);
  }
}

void run_command(CommandCall& call) {
  if (call.message.retained) {
    return call.refuse(
        "a retained command is refused: it would be carried out at every connect; publish it unretained");
  }
  if (!call.message.unreadable.empty()) return call.refuse(call.message.unreadable);
  const auto row =
      std::find_if(table().begin(), table().end(), [&](const Row& r) { return r.name == call.message.command; });
  if (row == table().end()) {
    std::vector<std::string_view> names;
    for (const Row& r : table()) names.push_back(r.name);
    const std::string near = suggestion(call.message.command, names);
    const std::string no_such = call.message.command.empty()
                                    ? "the topic names no command"
                                    : "there is no command '" + call.message.command.substr(0, 40) + "'";
    return call.refuse(no_such + (near.empty() ? "; the commands are " + joined(names) : near));
  }
  check_keys(call, *row);
  read_envelope(call);
  if (call.refused.empty()) row->run(call);
}

void read_id(CommandCall& call) {
  const CommandMember* id = call.find("id");
  if (id != nullptr && std::holds_alternative<std::string>(id->value)) call.id = std::get<std::string>(id->value);
}

bool answer_again(CommandCall& call) {
  auto& answered = call.world.answered;
  std::erase_if(answered,
                [&](const AnsweredCommand& a) { return a.received + limits::command_id_remembered <= call.world.now; });
  if (call.id.empty()) return false;
  for (const AnsweredCommand& a : answered) {
    if (a.id != call.id) continue;
    if (a.command != call.message.command) {
      call.refuse("the id '" + call.id + "' is that of a command '" + a.command + "' of the last 24 h; take another");
      return false;
    }
    call.world.out.answers.push_back({call.world.now, a.command, a.id, a.accepted, a.why, a.answer});
    return true;
  }
  return false;
}

}  // namespace

std::string a_few(const std::vector<std::string_view>& names) {
  constexpr std::size_t named = 5;
  std::string out;
  for (std::size_t i = 0; i < std::min(names.size(), named); ++i) {
    out.append(i == 0 ? "" : i + 1 == names.size() ? " and " : ", ").append(names[i]);
  }
  return names.size() > named ? out + " and " + std::to_string(names.size() - named) + " more" : out;
}

CommandCall::CommandCall(World& the_world, const CommandMessage& the_message)
    : world(the_world), message(the_message) {}

const CommandMember* CommandCall::find(std::string_view key) const {
  for (const CommandMember& m : message.members) {
    if (m.key == key) return &m;
  }
  return nullptr;
}

std::string CommandCall::text(std::string_view key, bool required) {
  const CommandMember* member = find(key);
  if (member == nullptr) {
    if (required) refuse("'" + std::string(key) + "' is missing");
    return {};
  }
  if (const auto* text = std::get_if<std::string>(&member->value)) {
    if (required && text->empty()) refuse("'" + std::string(key) + "' is empty");
    return *text;
  }
  refuse("'" + std::string(key) + "' must be text");
  return {};
}

std::uint32_t CommandCall::entity() {
  const std::string gear = world.plan->present_gear(text("gear", true));
  if (!refused.empty()) return no_index;
  const std::uint32_t index = world.plan->find_entity(gear);
  if (index != no_index) return index;
  const std::vector<std::string_view> ids = world.plan->ids();
  const std::string near = suggestion(gear, ids);
  refuse("there is no gear or place '" + gear + "'" + (near.empty() ? "; there are " + a_few(ids) : near));
  return no_index;
}

std::string CommandCall::entity_name() const {
  const CommandMember* member = find("gear");
  const auto* gear = member == nullptr ? nullptr : std::get_if<std::string>(&member->value);
  return gear == nullptr ? std::string() : world.plan->present_gear(*gear);
}

std::optional<Instant> CommandCall::instant(std::string_view key) {
  if (find(key) == nullptr) return std::nullopt;
  const std::string written = text(key, true);
  if (!refused.empty()) return std::nullopt;
  if (const auto t = parse_rfc3339(written)) return t;
  if (const auto date = parse_date(written)) return from_local(*date, Span{}, world.plan->zone);
  refuse("'" + std::string(key) + "' is no date (2026-12-19) and no time (2026-12-19T15:00:00Z)");
  return std::nullopt;
}

void execute(World& world, const CommandMessage& message) {
  CommandCall call(world, message);
  read_id(call);
  if (!message.retained && answer_again(call)) return;
  const bool is_others_id = !call.refused.empty();
  run_command(call);
  const bool accepted = call.refused.empty();
  const std::string answer =
      accepted ? call.answer : "Not done: " + call.refused + (call.refused.ends_with('?') ? "" : ".");
  world.out.answers.push_back({world.now, message.command, call.id, accepted, call.refused, answer});
  // A retained one may come unretained under the same id; one that is too long is not worth its memory.
  const bool is_remembered = !call.id.empty() && characters(call.id) <= limits::command_id_characters;
  if (is_remembered && !is_others_id && !message.retained) {
    world.answered.push_back({world.now, call.id, message.command, call.refused, answer, call.at, accepted});
    if (world.answered.size() > limits::command_ids_remembered) world.answered.pop_front();
  }
  if (accepted) return;
  Event event;
  event.kind = EventKind::command_refused;
  event.id = call.id;
  event.gear = world.plan->find_entity(call.entity_name()) == no_index ? "" : call.entity_name();
  event.by = call.by;
  event.title = message.command.substr(0, 40);
  event.reason = call.refused;
  world.emit(EventGroup::command, 0, std::move(event));
}

}  // namespace overwinter
