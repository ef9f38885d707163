#include "daemon/retained_state.h"

#include <algorithm>
#include <cmath>

#include "daemon/json_text.h"
#include "daemon/notice_text.h"
#include "daemon/self_description.h"
#include "rules/engine/alarm_event.h"
#include "rules/engine/entity_view.h"
#include "rules/engine/evidence.h"
#include "rules/engine/explain.h"
#include "rules/engine/reminder.h"
#include "rules/gear/kind.h"
#include "rules/limits.h"
#include "rules/quantity/in_words.h"
#include "rules/quantity/print.h"

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

// Numbers stand in one unit a topic, that of screens; an expected value and its uncertainty are rounded as one.
class QuantityWriter {
 public:
  QuantityWriter(const World& world, std::uint32_t slot) : world_(world), spec_(world.plan->slots[slot]) {}

  void value(JsonObject& object, std::string& out, const SlotState& s) const {
    object.key("value");
    if (!s.has_value || !std::isfinite(s.value)) {
      out += "null";
    } else if (spec_.type.sort == Sort::instant) {
      append_json_instant(out, instant_from_seconds(s.value));
    } else if (spec_.type.is_numeric()) {
      out += number(s.value, spec_.type);
    } else if (spec_.type.sort == Sort::boolean) {
      out += s.value != 0 ? "true" : "false";
    } else {
      append_json_text(out, word(s.value));
    }
    if (const std::string symbol = unit(); !symbol.empty()) object.text("unit", symbol);
  }
  void expectation(JsonObject& object, std::string& out, std::string_view key, const Expectation& e) const {
    if (!e.known() || !std::isfinite(e.value) || !spec_.type.is_numeric()) return;
    const Unit shown = display_unit(spec_.type, spec_.shown, world_.plan->units).unit;
    const std::string pair = print_in_unit(e.value, e.plus_minus, spec_.type, spec_.shown, shown, symbol());
    constexpr std::string_view between = " ± ";
    const std::size_t at = pair.find(between);
    object.key(key);
    out += "{\"value\":" + pair.substr(0, pair.find(' '));
    if (at != std::string::npos) {
      const std::string rest = pair.substr(at + between.size());
      out += ",\"plus_minus\":" + rest.substr(0, rest.find(' '));
    }
    out += '}';
  }
  void deviation(JsonObject& object, std::string& out, const SlotState& s) const {
    if (!s.known() || !s.expected.known() || !spec_.type.is_numeric()) return;
    const double deviation = s.value - s.expected.value;
    if (!std::isfinite(deviation)) return;
    object.key("deviation");
    out += number(deviation, spec_.type.difference());
  }

 private:
  std::string_view symbol() const { return display_unit(spec_.type, spec_.shown, world_.plan->units).symbol; }
  // As it stands beside the number; empty for a number without one, a boolean, a word, an instant.
  std::string unit() const {
    if (!spec_.type.is_numeric() || spec_.type.sort == Sort::instant) return {};
    const bool composed = symbol().empty() && spec_.type.dimension != dimension::none;
    return composed ? canonical_unit(spec_.type) : std::string(symbol());
  }
  std::string number(double canonical, const Type& type) const {
    const DisplayUnit shown = display_unit(type, spec_.shown, world_.plan->units);
    const std::string text = print_in_unit(canonical, 0, type, spec_.shown, shown.unit, shown.symbol);
    return text.substr(0, text.find(' '));
  }
  // As conditions and commands write it.
  std::string word(double index) const {
    const auto at = static_cast<std::size_t>(std::max(index, 0.0));
    return std::string(at < spec_.type.words.size() ? spec_.type.words[at] : std::string_view("unknown"));
  }

  const World& world_;
  const Slot& spec_;
};

// A measured quantity that nobody brings: it has a topic once somebody recorded it.
bool is_never_brought(const Slot& slot, const SlotState& s) {
  return slot.role == Slot::Role::measured && !slot.is_brought() && s.at == Instant{};
}

// A sensor whose first reading is still to come: what it should read would change the topic, and the reading wait for
// its minute behind that.
bool is_never_heard(const Slot& slot, const SlotState& s) {
  return slot.role == Slot::Role::measured && slot.sensor != no_index && s.at == Instant{};
}

// Instead of each alarm that the gear could have: a person sees that nobody watches it, and how that ends.
std::string out_of_service_payload(const World& world, std::uint32_t index, Instant now) {
  const AlarmSpec& spec = world.plan->alarms[index];
  const EntityState& state = world.entities[spec.entity];
  const Plan& plan = *world.plan;
  const bool is_site = plan.entities[spec.entity].kind == &site_kind();
  std::string out;
  JsonObject object(out);
  object.text("state", state_name(world, index, now));
  object.text("priority", overwinter::name_of(plan.rules[spec.rule].priority));
  object.instant("since", state.out_since);
  object.text("title",
              as_sentence(plan.entities[spec.entity].name) + (is_site ? " itself" : "") + " is out of service");
  object.text("message", "Out of service since " + print_date(state.out_since, plan.units, plan.zone, now) +
                             (state.out_why.empty() ? ". " : ": " + with_period(state.out_why) + " ") +
                             (is_site ? "Nothing is asked of the site itself until put_back; its places and gear are "
                                        "watched as before."
                                      : "Nothing is said of it until put_back."));
  object.end();
  return out;
}

// Of an alarm that is shelved and does not stand: no words of its last time.
AlarmState only_shelved(const World& world, std::uint32_t index, Instant now) {
  const AlarmState& a = world.alarms[index];
  AlarmState told;
  told.title = name_of_alarm(world, index);
  told.message = "It is not active. Nobody is told of it until " +
                 print_date_and_time(a.shelved_until, world.plan->units, world.plan->zone, now) +
                 (a.shelved_why.empty() ? "." : ": " + with_period(a.shelved_why));
  return told;
}

std::string alarm_payload(const World& world, std::uint32_t index, Instant now) {
  const AlarmState& a = world.alarms[index];
  const AlarmSpec& spec = world.plan->alarms[index];
  const RuleSpec& rule = world.plan->rules[spec.rule];
  if (world.entities[spec.entity].out_of_service()) return out_of_service_payload(world, index, now);
  const bool shelved = a.shelved_until > now;
  std::string out;
  if (a.life == AlarmLife::normal && !shelved) return out;
  JsonObject object(out);
  const auto text = [&](std::string_view key, const std::string& value) {
    if (!value.empty()) object.text(key, value);
  };
  const bool stands = a.life != AlarmLife::normal;
  const AlarmState only = stands ? AlarmState() : only_shelved(world, index, now);
  const AlarmState& told = stands ? a : only;
  object.text("state", state_name(world, index, now));
  text("id", told.id);
  object.text("priority", overwinter::name_of(rule.priority));
  if (told.since != Instant{}) object.instant("since", told.since);
  text("title", told.title);
  text("message", told.message);
  text("consequence", rule.consequence);
  text("response", rule.response);
  if (told.respond_by != Instant{}) object.instant("respond_by", told.respond_by);
  const std::optional<Instant> stale = stale_since(world, index);
  if (a.active()) object.text("evidence", stale ? "stale" : "fresh");
  if (stale) object.instant("evidence_since", *stale);
  if (shelved) object.instant("shelved_until", a.shelved_until);
  object.end();
  return out;
}

// A mark in front of a blank: not the point of 12.5.
bool ends_a_clause(std::string_view text) {
  return text.size() > 2 && text.back() == ' ' && text.find_last_of(".!?:;,") == text.size() - 2;
}

// As it was told. While it waits, what stands before the first value, which is still to come: "Charge House battery."
// of "Charge {name}: {voltage}."; where nothing does, the reminder's name in words.
std::string reminder_message(const World& world, std::uint32_t index) {
  const ReminderState& r = world.reminders[index];
  if (is_open(r) && !r.message.empty()) return r.message;
  const ReminderSpec& spec = world.plan->reminders[index];
  const auto value = std::ranges::find(spec.message.parts, MessageTemplate::Kind::value, &MessageTemplate::Part::kind);
  const MessageTemplate before{{spec.message.parts.begin(), value}};
  const RenderContext context{world.entity(spec.entity).name, {}, world.plan->units, &world.plan->zone, world.now};
  std::string text = render(before, world.board, {}, context);
  if (value == spec.message.parts.end()) return text;
  while (!text.empty() && !ends_a_clause(text)) text.pop_back();
  if (text.empty()) text = as_sentence(in_words(world.plan->reminder_defs[spec.def].name)) + ": ";
  text.resize(text.size() - 2);
  return text + ".";
}

std::string reminder_payload(const World& world, std::uint32_t index) {
  const ReminderState& r = world.reminders[index];
  const ReminderDef& def = world.plan->reminder_defs[world.plan->reminders[index].def];
  std::string out;
  JsonObject object(out);
  object.text("state", name_of(r.life));
  if (r.due && r.life != ReminderLife::done) object.instant("due", *r.due);
  if (const std::string message = reminder_message(world, index); !message.empty()) object.text("message", message);
  object.texts("steps", def.steps);
  object.texts("look", def.look);
  if (!def.safety.empty()) object.text("safety", def.safety);
  object.end();
  return out;
}

}  // namespace

RetainedState::RetainedState(const std::shared_ptr<const Plan>& plan) : described_(self_description(*plan)) {
  for (RetainedTopic& topic : retained_topics(*plan)) topics_.push_back({std::move(topic), {}, {}, {}, false, {}});
}

RetainedState::Numbers RetainedState::numbers(const World& world, std::uint32_t slot) {
  const SlotState& s = world.board[slot];
  const Expectation expected = s.has_value ? s.expected : Expectation{0, 0, ""};
  const Expectation now = expected_now(world, slot);
  const auto if_known = [](bool known, double number) { return known ? number : 0; };
  return {if_known(s.has_value, s.value),
          s.has_value ? 1.0 : 0.0,
          static_cast<double>(s.quality),
          s.at != Instant{} ? 1.0 : 0.0,
          if_known(expected.known(), expected.value),
          if_known(expected.known(), expected.plus_minus),
          expected.known() ? 1.0 : 0.0,
          if_known(now.known(), now.value),
          if_known(now.known(), now.plus_minus),
          now.known() ? 1.0 : 0.0};
}

RetainedState::Payload RetainedState::payload(const World& world, const RetainedTopic& topic, Instant now) {
  if (topic.of == RetainedTopic::Of::alarm) {
    std::string text = alarm_payload(world, topic.index, now);
    return {text, text};
  }
  if (topic.of == RetainedTopic::Of::reminder) {
    std::string text = reminder_payload(world, topic.index);
    return {text, text};
  }
  const SlotState& s = world.board[topic.index];
  if (is_never_brought(world.plan->slots[topic.index], s)) return {};
  const QuantityWriter writer(world, topic.index);
  Payload payload;
  std::string& out = payload.text;
  JsonObject object(out);
  writer.value(object, out, s);
  payload.shown = out;
  if (s.at != Instant{}) object.instant("at", s.at);  // unknown: when it was last known
  const std::size_t after_time = out.size();
  object.text("quality", s.has_value ? name_of(s.quality) : "bad");
  if (s.has_value) writer.expectation(object, out, "expected", s.expected);
  if (!is_never_heard(world.plan->slots[topic.index], s)) {
    writer.expectation(object, out, "expected_now", expected_now(world, topic.index));
  }
  writer.deviation(object, out, s);
  object.end();
  payload.shown += out.substr(after_time);
  return payload;
}

bool RetainedState::is_renewed(const Topic& topic, const World& world) {
  if (topic.is.of != RetainedTopic::Of::quantity) return false;
  const bool is_by_hand = topic.is_hurried && world.plan->slots[topic.is.index].role == Slot::Role::measured;
  const Span enough = is_by_hand ? Span(1) : Span(limits::retained_time_every);
  return world.board[topic.is.index].at - topic.at >= enough;
}

std::optional<Publication> RetainedState::change(Topic& topic, const World& world, Instant now, std::uint32_t told_of) {
  std::optional<Numbers> made_of;
  if (topic.is.of == RetainedTopic::Of::quantity) {
    made_of = numbers(world, topic.is.index);
    topic.is_hurried = topic.is_hurried || world.plan->slots[topic.is.index].entity == told_of;
    if (made_of == topic.made_of && !is_renewed(topic, world)) {
      topic.is_hurried = false;
      return std::nullopt;
    }
    const Span every = topic.is_hurried ? Span(limits::retained_topic_after_command) : limits::retained_topic_every;
    const Instant free = topic.published + every;
    // A time before the last one: the clock was set back, and the rate begins anew.
    if (topic.published != Instant{} && now >= topic.published && now < free) {
      next_ = std::min(next_, free);
      return std::nullopt;
    }
  }
  Payload held = payload(world, topic.is, now);
  topic.made_of = made_of;
  const bool is_same = held.shown == topic.shown && !is_renewed(topic, world);
  topic.is_hurried = false;
  if (is_same) return std::nullopt;
  topic.shown = std::move(held.shown);
  if (topic.is.of == RetainedTopic::Of::quantity) topic.at = world.board[topic.is.index].at;
  topic.published = now;
  return Publication{topic.is.name, std::move(held.text), true, 1};
}

std::vector<Publication> RetainedState::alarm_changes(const World& world, Instant now) {
  std::vector<Publication> out;
  for (Topic& topic : topics_) {
    if (topic.is.of != RetainedTopic::Of::alarm) break;
    if (auto changed = change(topic, world, now, no_index)) out.push_back(*std::move(changed));
  }
  return out;
}

std::vector<Publication> RetainedState::changes(const World& world, Instant now, std::uint32_t told_of) {
  std::vector<Publication> out;
  next_ = never;
  for (Topic& topic : topics_) {
    if (auto changed = change(topic, world, now, told_of)) out.push_back(*std::move(changed));
  }
  return out;
}

Instant RetainedState::next_deadline() const { return next_; }

// What is said again uses up no minute: the first reading after a connect is shown at once.
std::vector<Publication> RetainedState::whole(const World& world, Instant now) {
  std::vector<Publication> out = described_;
  out.reserve(described_.size() + topics_.size());
  for (Topic& topic : topics_) {
    if (topic.is.of == RetainedTopic::Of::quantity) {
      topic.made_of = numbers(world, topic.is.index);
      topic.at = world.board[topic.is.index].at;
    }
    Payload held = payload(world, topic.is, now);
    topic.shown = std::move(held.shown);
    out.push_back({topic.is.name, std::move(held.text), true, 1});
  }
  next_ = never;
  return out;
}

std::vector<std::string> RetainedState::obsolete(const std::vector<std::string>& ever) const {
  std::vector<std::string> out;
  for (const std::string& name : ever) {
    const bool is_ours = std::ranges::any_of(topics_, [&](const Topic& topic) { return topic.is.name == name; }) ||
                         std::ranges::any_of(described_, [&](const Publication& p) { return p.topic == name; });
    if (!is_ours) out.push_back(name);
  }
  return out;
}

}  // namespace overwinter
