#include "rules/engine/alarm_event.h"

#include <algorithm>
#include <utility>
#include <vector>

#include "rules/engine/alarm.h"
#include "rules/engine/entity_view.h"
#include "rules/engine/shared_jump.h"
#include "rules/engine/silence.h"
#include "rules/engine/stuck.h"
#include "rules/quantity/in_words.h"
#include "rules/quantity/print.h"

namespace overwinter {
namespace {

std::string describe_journal(const World& world) {
  if (world.journal_trouble.empty()) {
    return "The disk may be full, read-only or worn out, or another program holds the file.";
  }
  return as_sentence(world.journal_trouble) + ".";
}

}  // namespace

std::string watch_detail(const World& world, std::uint32_t index) {
  const AlarmSpec& spec = world.plan->alarms[index];
  const Entity& entity = world.entity(spec.entity);
  const auto slot_of = [&](Watch watch) { return entity.watch_slot(watch); };
  const auto asks = [&](Watch watch) {
    return std::ranges::any_of(spec.raise.references, [&](const Reference& r) { return r.slot == slot_of(watch); });
  };
  if (!world.journal_writable && asks(Watch::journal_is_unwritable)) return describe_journal(world);
  using Describe = std::string (*)(const World&, std::uint32_t);
  constexpr std::pair<Watch, Describe> told[] = {{Watch::gateway_is_silent, describe_gateway},
                                                 {Watch::readings_jumped, describe_jump},
                                                 {Watch::sensor_is_silent, describe_silence},
                                                 {Watch::sensor_is_stuck, describe_stuck}};
  std::string text;
  for (const auto& [watch, describe] : told) {
    if (!asks(watch) || world.board[slot_of(watch)].value == 0) continue;
    const std::string part = describe(world, spec.entity);
    if (!part.empty()) text += (text.empty() ? "" : "; ") + part;
  }
  return text;
}

std::string detail_of_gear(const World& world, std::uint32_t entity) {
  const Model* model = world.models[entity].get();
  return model == nullptr ? std::string() : model->detail_in_words(EntityView::to_ask(world, entity));
}

namespace {

std::string render_part(World& world, std::uint32_t index, const MessageTemplate& text, std::vector<Window>& windows,
                        const std::string& detail) {
  const std::string& name = world.entity(world.plan->alarms[index].entity).name;
  return render(text, world.board, windows, {name, detail, world.plan->units, &world.plan->zone, world.now});
}

}  // namespace

void render_alarm(World& world, std::uint32_t index) {
  const AlarmSpec& spec = world.plan->alarms[index];
  AlarmState& a = world.alarms[index];
  const std::string watched = watch_detail(world, index);
  const std::string detail = watched.empty() ? detail_of_gear(world, spec.entity) : watched;
  a.title = render_part(world, index, spec.title, a.title_windows, detail);
  a.message = render_part(world, index, spec.message, a.message_windows, detail);
}

std::string name_of_alarm(const World& world, std::uint32_t index) {
  const AlarmSpec& spec = world.plan->alarms[index];
  return as_sentence(world.entity(spec.entity).name) + ": " + in_words(world.plan->rules[spec.rule].name);
}

void retitle_alarm(World& world, std::uint32_t index) {
  AlarmState& a = world.alarms[index];
  if (a.title.empty()) return;
  if (a.active()) return render_alarm(world, index);
  a.title = render_part(world, index, world.plan->alarms[index].title, a.title_windows, {});
}

void follow_detail(World& world, std::uint32_t index) {
  const MessageTemplate& message = world.plan->alarms[index].message;
  const auto& parts = message.parts;
  if (std::ranges::find(parts, MessageTemplate::Kind::detail, &MessageTemplate::Part::kind) == parts.end()) return;
  const std::string detail = watch_detail(world, index);
  if (detail.empty()) return;
  AlarmState& a = world.alarms[index];
  a.message = render_part(world, index, message, a.message_windows, detail);
}

Event alarm_event(const World& world, std::uint32_t index, EventKind kind) {
  const AlarmSpec& spec = world.plan->alarms[index];
  const RuleSpec& rule = world.plan->rules[spec.rule];
  const AlarmState& a = world.alarms[index];
  Event event;
  event.kind = kind;
  event.id = a.id;
  event.rule = rule.name;
  event.gear = world.entity(spec.entity).id;
  event.priority = rule.priority;
  if (a.since != Instant{}) event.since = a.since;
  event.title = a.title;
  if (kind != EventKind::alarm_raised) return event;
  event.message = a.message;
  if (a.respond_by != Instant{}) event.respond_by = a.respond_by;
  if (spec.measured_slots.size() != 1) return event;
  const std::uint32_t slot = spec.measured_slots.front();
  const SlotState& s = world.board[slot];
  const Slot& slot_spec = world.plan->slots[slot];
  // What another place reads would look like this gear's own.
  if (slot_spec.entity != spec.entity || !s.known() || !slot_spec.type.is_numeric()) return event;
  event.quantity = world.plan->slot_name(slot);
  event.value = s.value;
  event.unit = canonical_unit(slot_spec.type);
  if (s.expected.known()) {
    event.expected = s.expected.value;
    event.plus_minus = s.expected.plus_minus;
  }
  return event;
}

}  // namespace overwinter
