#include "daemon/event_json.h"

#include "daemon/json_text.h"

namespace overwinter {

void append_event(std::string& out, const Event& event) {
  JsonObject object(out);
  const auto text = [&](std::string_view key, const std::string& value) {
    if (!value.empty()) object.text(key, value);
  };
  const auto number = [&](std::string_view key, const std::optional<double>& value) {
    if (value) object.number(key, *value);
  };
  const auto instant = [&](std::string_view key, const std::optional<Instant>& value) {
    if (value) object.instant(key, *value);
  };
  object.instant("at", event.at);
  object.text("event", name_of(event.kind));
  text("id", event.id);
  text("rule", event.rule);
  text("reminder", event.reminder);
  text("gear", event.gear);
  text("quantity", event.quantity);
  if (event.priority) object.text("priority", name_of(*event.priority));
  if (event.word == "true" || event.word == "false") {
    object.boolean("value", event.word == "true");
  } else if (!event.word.empty()) {
    object.text("value", event.word);
  } else {
    number("value", event.value);
  }
  text("unit", event.unit);
  number("expected", event.expected);
  number("plus_minus", event.plus_minus);
  instant("since", event.since);
  instant("due", event.due);
  instant("until", event.until);
  instant("last_at", event.last_at);
  if (event.count) object.count("count", *event.count);
  instant("respond_by", event.respond_by);
  text("by", event.by);
  text("title", event.title);
  text("message", event.message);
  text("reason", event.reason);
  object.end();
}

void append_answer(std::string& out, const Answer& answer) {
  JsonObject object(out);
  object.instant("at", answer.at);
  object.text("command", answer.command);
  object.text("id", answer.id);
  object.boolean("accepted", answer.accepted);
  if (!answer.accepted) object.text("why", answer.why);
  object.text("answer", answer.answer);
  object.end();
}

}  // namespace overwinter
