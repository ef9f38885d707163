#include "rules/engine/settle.h"

#include <algorithm>

#include "rules/engine/alarm.h"
#include "rules/engine/alarm_event.h"
#include "rules/engine/digest.h"
#include "rules/engine/entity_view.h"
#include "rules/engine/readings.h"
#include "rules/engine/reminder.h"
#include "rules/engine/season.h"
#include "rules/engine/silence.h"

namespace overwinter {
namespace {

constexpr Span time_looked_at_every = 5 * one_minute;  // by conditions that depend on the time
// How often a model follows what is not its own: longer than the minute in which many sensors speak, so that most are
// up to date by their own next reading.
constexpr Span follow_step = std::chrono::seconds(90);

// What follows from the time alone - how long a tire stands, when an item is due - is an hour old at most.
Instant next_update(const World& world, std::uint32_t index) {
  return std::min(world.models[index]->next_wake(), world.entities[index].updated + one_hour);
}

void mark_readers(World& world, std::uint32_t slot) {
  for (const std::uint32_t alarm : world.wiring.alarms[slot]) world.mark_alarm(alarm);
  for (const std::uint32_t reminder : world.wiring.reminders[slot]) world.mark_reminder(reminder);
  for (const std::uint32_t reminder : world.wiring.good_days[slot]) {
    if (waits_for_good_day(world.reminders[reminder], world.now)) world.mark_reminder(reminder);
  }
}

// For the conditions and texts that read it, which look at it then: the slot was not read, so it is not touched.
void refresh_expected_now(World& world, std::uint32_t index) {
  for (const std::uint32_t quantity : world.wiring.expected_now[index]) {
    const std::uint32_t slot = world.entity(index).quantity_slot(static_cast<std::uint8_t>(quantity));
    const Expectation now = expected_now(world, slot);
    if (now == world.board[slot].expected_now) continue;
    world.board.set_expected_now(slot, now);
    mark_readers(world, slot);
  }
}

void update_model(World& world, std::uint32_t index) {
  Model* model = world.models[index].get();
  if (model == nullptr) return;
  EntityView view(world, index);
  model->update(view);
  world.entities[index].updated = world.now;
  refresh_expected_now(world, index);
  world.timers.arm(world.entity_timer(index), next_update(world, index));
}

// Its own readings count at once. Its surroundings change slowly, and a busy thermometer outdoors moves everything: who
// was updated a moment ago follows a little later.
bool follows_later(World& world, std::uint32_t index, std::uint32_t slot) {
  if (world.plan->slots[slot].entity == index) return false;
  const Instant updated = world.entities[index].updated;
  if (updated > world.now || world.now - updated >= follow_step) return false;
  const Instant next = updated + follow_step;
  world.timers.arm(world.entity_timer(index), std::min(next, next_update(world, index)));
  return true;
}

// Outdoors first: the other places and the gear lean on it.
bool comes_before(const World& world, std::uint32_t a, std::uint32_t b) {
  const bool a_outdoors = a == world.plan->outdoors, b_outdoors = b == world.plan->outdoors;
  return a_outdoors != b_outdoors ? a_outdoors : a < b;
}

// An alarm that waits for one more reading looks at what the models make of that one, and not of the one before.
void follow_for_waiting_alarms(World& world) {
  for (const std::uint32_t slot : world.board.touched()) {
    for (const std::uint32_t alarm : world.wiring.waiting_alarms[slot]) {
      if (world.alarms[alarm].raising.waits.empty()) continue;
      for (const Reference& r : world.plan->alarms[alarm].raise.references) {
        world.mark_entity(world.plan->slots[r.slot].entity);
      }
    }
  }
}

void update_models(World& world) {
  std::vector<std::uint32_t>& dirty = world.dirty_entities;
  follow_for_waiting_alarms(world);
  const auto later = [&world](std::uint32_t a, std::uint32_t b) { return comes_before(world, b, a); };
  std::make_heap(dirty.begin(), dirty.end(), later);
  std::size_t seen = 0;
  const auto mark = [&] {
    for (; seen < world.board.touched().size(); ++seen) {
      const std::uint32_t slot = world.board.touched()[seen];
      for (const std::uint32_t e : world.wiring.models[slot]) {
        if (follows_later(world, e, slot)) continue;
        const std::size_t before = dirty.size();
        world.mark_entity(e);
        if (dirty.size() > before) std::push_heap(dirty.begin(), dirty.end(), later);
      }
    }
  };
  mark();
  while (!dirty.empty()) {
    std::pop_heap(dirty.begin(), dirty.end(), later);
    const std::uint32_t index = dirty.back();
    dirty.pop_back();
    update_model(world, index);
    mark();
  }
}

// A reading whose condition says no more than before still counts for an alarm that runs or stands: how many packets it
// rests on, and whether a person has looked.
bool waits(const AlarmState& alarm) { return alarm.active() || alarm.raising.running; }

void mark_conditions(World& world) {
  for (const std::uint32_t slot : world.board.touched()) {
    mark_readers(world, slot);
    for (const std::uint32_t alarm : world.wiring.waiting_alarms[slot]) {
      if (waits(world.alarms[alarm])) world.mark_alarm(alarm);
    }
  }
}

void leave_in_plan_order(World& world) {
  if (world.pass.empty()) return;
  std::stable_sort(world.pass.begin(), world.pass.end(),
                   [](const PassEvent& a, const PassEvent& b) { return a.order < b.order; });
  for (PassEvent& e : world.pass) world.out.events.push_back(std::move(e.event));
  world.pass.clear();
}

void arm_clock(World& world) {
  if (world.wiring.timed_alarms.empty() && world.wiring.timed_reminders.empty()) return;
  const auto steps = world.now.time_since_epoch() / time_looked_at_every;
  world.timers.arm(world.clock_timer(), Instant((steps + 1) * time_looked_at_every));
}

void on_timer(World& world, std::uint32_t id) {
  if (id < world.entity_timer(0)) {
    on_sensor_timer(world, id);
    watch_silence(world, world.plan->slots[world.plan->sensors[id].slot].entity);
  } else if (id < world.alarm_timer(0)) {
    world.mark_entity(id - world.entity_timer(0));
  } else if (id < world.reminder_timer(0)) {
    world.mark_alarm(id - world.alarm_timer(0));
  } else if (id < world.clock_timer()) {
    world.mark_reminder(id - world.reminder_timer(0));
  } else if (id == world.clock_timer()) {
    for (const std::uint32_t alarm : world.wiring.timed_alarms) world.mark_alarm(alarm);
    for (const std::uint32_t reminder : world.wiring.timed_reminders) world.mark_reminder(reminder);
    arm_clock(world);
  }
}

// Gear that has another name now, with another id or the same: what stands is said anew.
void rename_told(World& world) {
  const auto is_renamed = [&world](std::uint32_t entity) {
    return world.entities[entity].told_as != world.entity(entity).name;
  };
  for (std::uint32_t i = 0; i < world.alarms.size(); ++i) {
    if (is_renamed(world.plan->alarms[i].entity)) retitle_alarm(world, i);
  }
  for (std::uint32_t i = 0; i < world.reminders.size(); ++i) {
    ReminderState& reminder = world.reminders[i];
    if (is_open(reminder) && is_renamed(world.plan->reminders[i].entity)) reminder.message = reminder_text(world, i);
  }
  for (std::uint32_t e = 0; e < world.entities.size(); ++e) world.entities[e].told_as = world.entity(e).name;
}

void look_at_everything(World& world) {
  for (std::uint32_t e = 0; e < world.models.size(); ++e) world.mark_entity(e);
  for (std::uint32_t i = 0; i < world.alarms.size(); ++i) world.mark_alarm(i);
  for (std::uint32_t i = 0; i < world.reminders.size(); ++i) world.mark_reminder(i);
}

}  // namespace

void begin_pass(World& world, Instant now) {
  world.now = now;
  world.board.begin_step(now);
  world.judged.clear();
  world.acted_on = no_index;
  world.gauged = no_index;
  if (world.begun) return;
  world.begun = true;
  look_at_everything(world);
}

void settle(World& world) {
  settle_season(world);
  watch_gateways(world);
  settle_silence(world);
  judge_anew(world);
  judge_readings(world);
  update_models(world);
  mark_conditions(world);
  settle_alarms(world);
  settle_reminders(world);
  leave_in_plan_order(world);
}

void advance(World& world, Instant to) {
  for (Instant next = world.timers.next_within(to); next <= to; next = world.timers.next_within(to)) {
    const Instant at = std::max(next, world.now);
    begin_pass(world, at);
    bool digest_is_due = false;
    const std::vector<std::uint32_t> due = world.timers.take_due(at);
    for (const std::uint32_t id : due) {
      if (id == world.digest_timer()) digest_is_due = true;
      on_timer(world, id);
    }
    settle(world);
    if (!digest_is_due) continue;
    tell_digest(world);
    leave_in_plan_order(world);
  }
}

void start_world(World& world) {
  world.board.begin_step(world.now);
  world.timers.arm(world.season_timer(), world.now);  // the first pass, unless a message of this instant comes first
  for (std::uint32_t s = 0; s < world.plan->sensors.size(); ++s) arm_sensor(world, s);
  arm_clock(world);
  world.board.begin_week();
  arm_digest(world);
}

void take_up_reload(World& world) {
  if (!world.reloaded) return;
  world.reloaded = false;
  tell_orphans(world);
  rename_told(world);
  look_at_everything(world);
}

void arm_reloaded(World& world) {
  for (std::uint32_t s = 0; s < world.plan->sensors.size(); ++s) arm_sensor(world, s);
  for (std::uint32_t e = 0; e < world.models.size(); ++e) {
    if (world.models[e] != nullptr) world.timers.arm(world.entity_timer(e), next_update(world, e));
  }
  arm_clock(world);
  arm_reloaded_digest(world);
  world.reloaded = true;
}

}  // namespace overwinter
