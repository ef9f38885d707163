#include "rules/engine/world.h"

#include <algorithm>

#include "rules/physics/moist_air.h"

namespace overwinter {

SeriesOfSlots::SeriesOfSlots(const std::vector<Slot>& slots) : place_(slots.size(), no_index) {
  std::uint32_t count = 0;
  for (std::size_t i = 0; i < slots.size(); ++i) {
    if (slots[i].role == Slot::Role::measured) place_[i] = count++;
  }
  states_.resize(count);
}

World::World(std::shared_ptr<const Plan> the_plan, Instant start)
    : plan(std::move(the_plan)),
      wiring(*plan),
      board(*plan),
      now(start),
      started(start),
      link_since(start),
      series(plan->slots),
      entities(plan->entities.size()),
      alarms(plan->alarms.size()),
      reminders(plan->reminders.size()),
      entity_dirty(plan->entities.size(), 0),
      alarm_dirty(plan->alarms.size(), 0),
      reminder_dirty(plan->reminders.size(), 0) {
  const auto standard = overwinter::standard_pressure(Length(plan->altitude));
  standard_pressure = standard ? standard->value : standard_atmosphere.value;
  timers = Timers(timer_count());
  for (std::size_t e = 0; e < entities.size(); ++e) entities[e].told_as = plan->entities[e].name;
  models.reserve(plan->entities.size());
  for (const Entity& e : plan->entities) models.push_back(e.kind->make_model ? e.kind->make_model() : nullptr);
  for (const Sensor& sensor : plan->sensors) {
    series[sensor.slot].source =
        sensor.topic + " " + sensor.pointer + " " + canonical_unit(plan->slots[sensor.slot].type);
  }
  for (std::uint32_t i = 0; i < alarms.size(); ++i) {
    const AlarmSpec& spec = plan->alarms[i];
    alarms[i].raise_windows.resize(spec.raise.histories.size());
    alarms[i].clear_windows.resize(spec.clear.histories.size());
    alarms[i].title_windows.resize(spec.title.history_count());
    alarms[i].message_windows.resize(spec.message.history_count());
    alarms[i].raise_source = spec.raise.source;
    alarms[i].clear_source = spec.clear.source;
    alarms[i].priority = plan->rules[spec.rule].priority;
  }
  for (std::uint32_t i = 0; i < reminders.size(); ++i) {
    const ReminderSpec& spec = plan->reminders[i];
    reminders[i].due_windows.resize(spec.due_when.histories.size());
    reminders[i].done_windows.resize(spec.done_when.histories.size());
    reminders[i].good_windows.resize(spec.good_day_when.histories.size());
    reminders[i].message_windows.resize(spec.message.history_count());
    reminders[i].due_source = spec.due_when.source;
    reminders[i].done_source = spec.done_when.source;
    reminders[i].good_source = spec.good_day_when.source;
  }
}

void World::emit(EventGroup group, std::uint32_t index, Event event) {
  event.at = now;
  pass.push_back({(static_cast<std::uint64_t>(group) << 32U) | index, std::move(event)});
}

namespace {

void mark(std::vector<std::uint64_t>& stamps, std::vector<std::uint32_t>& list, std::uint64_t step,
          std::uint32_t index) {
  if (stamps[index] == step) return;
  stamps[index] = step;
  list.push_back(index);
}

}  // namespace

void World::judge(std::uint32_t slot) {
  if (std::find(judged.begin(), judged.end(), slot) == judged.end()) judged.push_back(slot);
}
void World::mark_entity(std::uint32_t index) { mark(entity_dirty, dirty_entities, board.step(), index); }
void World::mark_alarm(std::uint32_t index) { mark(alarm_dirty, dirty_alarms, board.step(), index); }
void World::set_watch(std::uint32_t index, Watch watch, bool is) {
  board.set_computed(entity(index).watch_slot(static_cast<std::uint8_t>(watch)), is ? 1 : 0, 0);
  for (const std::uint32_t alarm : wiring.entity_alarms[index]) mark_alarm(alarm);
}
void World::mark_reminder(std::uint32_t index) { mark(reminder_dirty, dirty_reminders, board.step(), index); }

}  // namespace overwinter
