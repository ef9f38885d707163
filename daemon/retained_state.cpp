#include "daemon/retained_state.h"

#include <algorithm>
#include <charconv>

#include "daemon/json_text.h"
#include "rules/engine/evidence.h"
#include "rules/engine/explain.h"
#include "rules/engine/wiring.h"
#include "rules/limits.h"

namespace overwinter {
namespace {

std::string_view name_of(Quality quality) {
  switch (quality) {
    case Quality::good:
      return "good";
    case Quality::uncertain:
      return "uncertain";
    case Quality::bad:
      break;
  }
  return "bad";
}

std::string_view name_of(ReminderLife life) {
  switch (life) {
    case ReminderLife::waiting:
      return "waiting";
    case ReminderLife::due:
      return "due";
    case ReminderLife::overdue:
      return "overdue";
    case ReminderLife::done:
      break;
  }
  return "done";
}

// A number as it is shown to a person ("42.6 psi") taken apart again: what stands on the topic is what stands on
// screens.
struct Shown {
  std::string_view number, unit;
};
Shown take_apart(std::string_view text) {
  const std::size_t space = text.find(' ');
  if (space == std::string_view::npos) return {text, {}};
  return {text.substr(0, space), text.substr(space + 1)};
}

class QuantityWriter {
 public:
  QuantityWriter(const World& world, std::uint32_t slot) : world_(world), spec_(world.plan->slots[slot]) {}

  std::string shown(double value, const Type& type) const {
    return print_value(value, type, spec_.shown, world_.plan->units, world_.plan->zone, world_.now);
  }
  void value(JsonObject& object, std::string& out, const SlotState& s) const {
    object.key("value");
    if (!s.has_value) {
      out += "null";
    } else if (spec_.type.is_numeric()) {
      const std::string text = shown(s.value, spec_.type);
      const Shown parts = take_apart(text);
      out += parts.number;
      if (!parts.unit.empty()) object.text("unit", parts.unit);
    } else if (spec_.type.sort == Sort::boolean) {
      out += s.value != 0 ? "true" : "false";
    } else if (spec_.type.sort == Sort::instant) {
      append_json_instant(out, instant_from_seconds(s.value));
    } else {
      append_json_text(out, shown(s.value, spec_.type));
    }
  }
  void expectation(JsonObject& object, std::string& out, std::string_view key, const Expectation& e) const {
    if (!e.known()) return;
    object.key(key);
    out += "{\"value\":";
    out += take_apart(shown(e.value, spec_.type)).number;
    out += ",\"plus_minus\":";
    out += take_apart(shown(e.plus_minus, spec_.type.difference())).number;
    out += '}';
  }
  void deviation(JsonObject& object, std::string& out, const SlotState& s) const {
    if (!s.known() || !s.expected.known()) return;
    object.key("deviation");
    out += take_apart(shown(s.value - s.expected.value, spec_.type.difference())).number;
  }

 private:
  const World& world_;
  const Slot& spec_;
};

// A measured quantity with a source, one that a rule or reminder uses, or one that the site lists.
bool is_public(const Plan& plan, const Wiring& wiring, std::uint32_t slot) {
  const Slot& spec = plan.slots[slot];
  const bool listed = std::ranges::any_of(plan.publish, [&](const auto& entry) { return entry.first == slot; });
  if (listed) return true;
  switch (spec.role) {
    case Slot::Role::measured:
      return spec.sensor != no_index || spec.by_hand;
    case Slot::Role::computed:
      return !wiring.alarms[slot].empty() || !wiring.reminders[slot].empty();
    case Slot::Role::watch:
    case Slot::Role::parameter:
      break;
  }
  return false;
}

void append_texts(JsonObject& object, std::string& out, std::string_view key, const std::vector<std::string>& texts) {
  if (texts.empty()) return;
  object.key(key);
  out += '[';
  for (std::size_t i = 0; i < texts.size(); ++i) {
    if (i > 0) out += ',';
    append_json_text(out, texts[i]);
  }
  out += ']';
}

std::string alarm_payload(const World& world, std::uint32_t index, Instant now) {
  const AlarmState& a = world.alarms[index];
  const AlarmSpec& spec = world.plan->alarms[index];
  const RuleSpec& rule = world.plan->rules[spec.rule];
  const bool out_of_service = world.entities[spec.entity].out_of_service;
  const bool shelved = a.shelved_until > now;
  std::string out;
  if (a.life == AlarmLife::normal && !shelved) return out;
  JsonObject object(out);
  object.text("state", state_name(a, out_of_service, now));
  object.text("id", a.id);
  object.text("priority", overwinter::name_of(rule.priority));
  if (a.since != Instant{}) object.instant("since", a.since);
  object.text("title", a.title);
  object.text("message", a.message);
  object.text("consequence", rule.consequence);
  object.text("response", rule.response);
  if (a.respond_by != Instant{}) object.instant("respond_by", a.respond_by);
  if (shelved) object.instant("shelved_until", a.shelved_until);
  const std::optional<Instant> stale = stale_since(world, index);
  object.text("evidence", stale ? "stale" : "fresh");
  if (stale) object.instant("evidence_since", *stale);
  object.end();
  return out;
}

std::string reminder_payload(const World& world, std::uint32_t index) {
  const ReminderState& r = world.reminders[index];
  const ReminderDef& def = world.plan->reminder_defs[world.plan->reminders[index].def];
  std::string out;
  JsonObject object(out);
  object.text("state", name_of(r.life));
  if (r.due) object.instant("due", *r.due);
  if (!r.message.empty()) object.text("message", r.message);
  append_texts(object, out, "steps", def.steps);
  append_texts(object, out, "look", def.look);
  if (!def.safety.empty()) object.text("safety", def.safety);
  object.end();
  return out;
}

}  // namespace

RetainedState::RetainedState(std::shared_ptr<const Plan> plan) {
  const Wiring wiring(*plan);
  const std::string root = plan->topic_root + "/";
  for (std::uint32_t slot = 0; slot < plan->slots.size(); ++slot) {
    if (!is_public(*plan, wiring, slot)) continue;
    const std::uint32_t entity = plan->slots[slot].entity;
    const Entity& e = plan->entities[entity];
    const bool place = e.place == entity;
    topics_.push_back({Topic::Of::quantity,
                       slot,
                       root + (place ? "place/" : "gear/") + e.id + "/" + std::string(plan->slot_name(slot)),
                       {},
                       {}});
  }
  for (std::uint32_t i = 0; i < plan->alarms.size(); ++i) {
    const AlarmSpec& spec = plan->alarms[i];
    topics_.push_back({Topic::Of::alarm,
                       i,
                       root + "alarm/" + plan->rules[spec.rule].name + "/" + plan->entities[spec.entity].id,
                       {},
                       {}});
  }
  for (std::uint32_t i = 0; i < plan->reminders.size(); ++i) {
    const ReminderSpec& spec = plan->reminders[i];
    topics_.push_back({Topic::Of::reminder,
                       i,
                       root + "reminder/" + plan->reminder_defs[spec.def].name + "/" + plan->entities[spec.entity].id,
                       {},
                       {}});
  }
}

RetainedState::Payload RetainedState::payload(const World& world, const Topic& topic, Instant now) {
  if (topic.of == Topic::Of::alarm) {
    std::string text = alarm_payload(world, topic.index, now);
    return {text, text};
  }
  if (topic.of == Topic::Of::reminder) {
    std::string text = reminder_payload(world, topic.index);
    return {text, text};
  }
  const SlotState& s = world.board[topic.index];
  const QuantityWriter writer(world, topic.index);
  Payload payload;
  std::string& out = payload.text;
  JsonObject object(out);
  writer.value(object, out, s);
  payload.shown = out;
  if (s.has_value) object.instant("at", s.at);
  const std::size_t after_time = out.size();
  object.text("quality", s.has_value ? name_of(s.quality) : "bad");
  if (s.has_value) writer.expectation(object, out, "expected", s.expected);
  writer.expectation(object, out, "expected_now", s.expected_now);
  writer.deviation(object, out, s);
  object.end();
  payload.shown += out.substr(after_time);
  return payload;
}

std::vector<Publication> RetainedState::changes(const World& world, Instant now) {
  std::vector<Publication> out;
  next_ = never;
  for (Topic& topic : topics_) {
    Payload held = payload(world, topic, now);
    if (held.shown == topic.shown) continue;
    const Instant free = topic.published + limits::retained_topic_every;
    if (topic.of == Topic::Of::quantity && topic.published != Instant{} && now < free) {
      next_ = std::min(next_, free);
      continue;
    }
    topic.shown = std::move(held.shown);
    topic.published = now;
    out.push_back({topic.name, std::move(held.text), true, 1});
  }
  return out;
}

Instant RetainedState::next_deadline() const { return next_; }

// What is said again uses up no minute: the first reading after a connect is shown at once.
std::vector<Publication> RetainedState::whole(const World& world, Instant now) {
  std::vector<Publication> out;
  out.reserve(topics_.size());
  for (Topic& topic : topics_) {
    Payload held = payload(world, topic, now);
    topic.shown = std::move(held.shown);
    out.push_back({topic.name, std::move(held.text), true, 1});
  }
  next_ = never;
  return out;
}

std::vector<std::string> RetainedState::obsolete(const std::vector<std::string>& ever) const {
  std::vector<std::string> out;
  for (const std::string& name : ever) {
    if (std::ranges::none_of(topics_, [&](const Topic& topic) { return topic.name == name; })) out.push_back(name);
  }
  return out;
}

}  // namespace overwinter
