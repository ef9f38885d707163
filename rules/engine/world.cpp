#include "rules/engine/world.h"

#include <algorithm>

#include "rules/fingerprint.h"
#include "rules/physics/moist_air.h"
#include "rules/quantity/unit.h"

namespace overwinter {
namespace {

// What its payload is and means. Not how good it is, when it is stale or how it comes here.
std::uint64_t source_of(const Sensor& sensor) {
  Fingerprint print;
  print.add(sensor.topic).add(sensor.pointer);
  for (const double number : {sensor.unit.scale, sensor.unit.offset, sensor.scale, sensor.offset, sensor.reference}) {
    print.add(number);
  }
  print.add(static_cast<std::uint64_t>(sensor.reads));
  for (const auto* words : {&sensor.yes, &sensor.no}) {
    for (const std::string& word : *words) print.add(word);
    print.add(words->size());
  }
  return print.value();
}

// What a program's windows are of: its text, the numbers in it and how far its windows look back (some are those of
// `with`), and the sensors that it rests on; what is computed rests on all of its gear.
void add_source(const World& world, const Program& program, Fingerprint& print) {
  print.add(program.source);
  for (const double constant : program.constants) print.add(constant);
  for (const HistoryCall& call : program.histories) print.add(static_cast<std::uint64_t>(call.window.count()));
  for (const Reference& reference : program.references) {
    const Slot& slot = world.plan->slots[reference.slot];
    if (slot.role == Slot::Role::measured) {
      print.add(world.series[reference.slot].source);
    } else if (slot.role == Slot::Role::computed) {
      const Entity& entity = world.plan->entities[slot.entity];
      for (std::uint8_t q = 0; q < entity.kind->quantities.size(); ++q) {
        if (entity.kind->quantities[q].measured) print.add(world.series[entity.quantity_slot(q)].source);
      }
    }
  }
}

std::uint64_t source_of(const World& world, const Program& program) {
  Fingerprint print;
  add_source(world, program, print);
  return print.value();
}

std::uint64_t source_of(const World& world, const MessageTemplate& message) {
  Fingerprint print;
  for (const MessageTemplate::Part& part : message.parts) {
    if (!part.program.histories.empty()) add_source(world, part.program, print);
  }
  return print.value();
}

}  // namespace

bool was_taken_in_another_unit(const Sensor& sensor, std::uint64_t former) {
  return std::ranges::any_of(unit_symbols(), [&](const UnitSymbol& symbol) {
    if (symbol.unit.dimension != sensor.unit.dimension) return false;
    Sensor other = sensor;
    other.unit = symbol.unit;
    return source_of(other) == former;
  });
}

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
      board(*plan, wiring.is_read),
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
    series[sensor.slot].source = source_of(sensor);
  }
  for (std::uint32_t i = 0; i < alarms.size(); ++i) {
    const AlarmSpec& spec = plan->alarms[i];
    alarms[i].raise_windows.resize(spec.raise.histories.size());
    alarms[i].clear_windows.resize(spec.clear.histories.size());
    alarms[i].title_windows.resize(spec.title.history_count());
    alarms[i].message_windows.resize(spec.message.history_count());
    alarms[i].raise_source = source_of(*this, spec.raise);
    alarms[i].clear_source = source_of(*this, spec.clear);
    alarms[i].title_source = source_of(*this, spec.title);
    alarms[i].message_source = source_of(*this, spec.message);
    alarms[i].priority = plan->rules[spec.rule].priority;
  }
  for (std::uint32_t i = 0; i < reminders.size(); ++i) {
    const ReminderSpec& spec = plan->reminders[i];
    reminders[i].due_windows.resize(spec.due_when.histories.size());
    reminders[i].done_windows.resize(spec.done_when.histories.size());
    reminders[i].good_windows.resize(spec.good_day_when.histories.size());
    reminders[i].message_windows.resize(spec.message.history_count());
    reminders[i].due_source = source_of(*this, spec.due_when);
    reminders[i].done_source = source_of(*this, spec.done_when);
    reminders[i].good_source = source_of(*this, spec.good_day_when);
    reminders[i].message_source = source_of(*this, spec.message);
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
bool World::watch(std::uint32_t index, Watch watch) const { return board[entity(index).watch_slot(watch)].value != 0; }
void World::set_watch(std::uint32_t index, Watch watch, bool is) {
  board.set_computed(entity(index).watch_slot(watch), is ? 1 : 0, 0);
  for (const std::uint32_t alarm : wiring.entity_alarms[index]) mark_alarm(alarm);
}
void World::mark_reminder(std::uint32_t index) { mark(reminder_dirty, dirty_reminders, board.step(), index); }

}  // namespace overwinter
