#include "rules/engine/alarm.h"

#include <algorithm>
#include <array>
#include <utility>

#include "rules/engine/alarm_event.h"
#include "rules/engine/delay.h"
#include "rules/engine/season.h"
#include "rules/engine/single_reading.h"
#include "rules/language/evaluator.h"
#include "rules/limits.h"

namespace overwinter {
namespace {

using Life = AlarmLife;

// clang-format off
//                                   raise                         clear
//                                   acknowledge                   forget                  withdraw
constexpr std::array<std::array<AlarmStep, 5>, 4> life_cycle = {{
    /* normal */ {{{Life::unacknowledged, true}, {Life::normal, false},
                   {Life::normal, false}, {Life::normal, false}, {Life::normal, false}}},
    /* unacknowledged */ {{{Life::unacknowledged, false}, {Life::cleared_unacknowledged, true},
                   {Life::acknowledged, true}, {Life::unacknowledged, false}, {Life::normal, true}}},
    /* acknowledged */ {{{Life::acknowledged, false}, {Life::normal, true},
                   {Life::acknowledged, false}, {Life::acknowledged, false}, {Life::normal, true}}},
    /* cleared_unacknowledged */ {{{Life::unacknowledged, true}, {Life::cleared_unacknowledged, false},
                   {Life::normal, true}, {Life::normal, false}, {Life::normal, false}}},
}};
// clang-format on

bool is_hidden(const World& world, std::uint32_t index) {
  const AlarmState& a = world.alarms[index];
  return a.suppressed || a.shelved_until > world.now;
}

void tell_raised(World& world, std::uint32_t index) {
  world.alarms[index].told = true;
  ++world.digest.alarms_raised;
  world.emit(EventGroup::alarm, index, alarm_event(world, index, EventKind::alarm_raised));
}

bool asks_for(const World& world, std::uint32_t index, Watch watch) {
  const AlarmSpec& spec = world.plan->alarms[index];
  const std::uint32_t slot = world.entity(spec.entity).watch_slot(watch);
  return std::ranges::any_of(spec.raise.references, [slot](const Reference& r) { return r.slot == slot; });
}

// A silent gateway explains the silence of what comes through it; sensor_is_silent is of the rest.
bool is_another_silence(const World& world, std::uint32_t index, std::uint32_t by) {
  const std::uint32_t entity = world.plan->alarms[index].entity;
  return world.plan->alarms[by].entity != entity && world.watch(entity, Watch::sensor_is_silent) &&
         asks_for(world, index, Watch::sensor_is_silent) && asks_for(world, by, Watch::gateway_is_silent);
}

bool is_suppressed_now(const World& world, std::uint32_t index) {
  return std::ranges::any_of(world.plan->alarms[index].suppressed_by, [&](std::uint32_t by) {
    return world.alarms[by].active() && !is_another_silence(world, index, by);
  });
}

void refresh_suppressed(World& world, std::uint32_t index) {
  AlarmState& a = world.alarms[index];
  const bool suppressed = is_suppressed_now(world, index);
  if (suppressed == a.suppressed) return;
  if (!suppressed && a.active()) return world.mark_alarm(index);  // released when its own conditions are settled
  a.suppressed = suppressed;
  if (a.active()) world.emit(EventGroup::alarm, index, alarm_event(world, index, EventKind::alarm_suppressed));
}

void after_change(World& world, std::uint32_t index) {
  for (const std::uint32_t other : world.wiring.suppresses[index]) refresh_suppressed(world, other);
}

void raise(World& world, std::uint32_t index) {
  AlarmState& a = world.alarms[index];
  const AlarmSpec& spec = world.plan->alarms[index];
  const RuleSpec& rule = world.plan->rules[spec.rule];
  const AlarmStep step = alarm_step(a.life, AlarmCause::raise);
  const bool keeps_id = a.life == Life::cleared_unacknowledged;
  a.life = step.next;
  if (!step.tells) return;
  if (!keeps_id) {
    a.first_raised = world.now;
    a.id = rule.name + "/" + world.entity(spec.entity).id + "/" + format_rfc3339(world.now);
  }
  a.raised = world.now;
  a.since = a.raising.began;
  a.priority = rule.priority;
  a.respond_by = rule.respond_within ? world.now + *rule.respond_within : Instant{};
  a.told = false;
  render_alarm(world, index);
  if (is_hidden(world, index)) {
    if (a.suppressed) world.emit(EventGroup::alarm, index, alarm_event(world, index, EventKind::alarm_suppressed));
  } else {
    tell_raised(world, index);
  }
  after_change(world, index);
}

void end(World& world, std::uint32_t index, AlarmCause cause, std::string_view reason) {
  AlarmState& a = world.alarms[index];
  const AlarmStep step = alarm_step(a.life, cause);
  const Instant cleared_before = std::exchange(a.cleared, world.now);
  a.life = step.next;
  a.clearing = Delay{};
  a.raising = Delay{};
  if (!step.tells) return;
  // What was only said to be suppressed is said to be so no more: no reader waits for the end of what is over.
  if (a.told || a.suppressed) {
    Event event = alarm_event(world, index, a.told ? EventKind::alarm_cleared : EventKind::alarm_unsuppressed);
    event.reason = reason;
    world.emit(EventGroup::alarm, index, std::move(event));
  }
  if (!a.told && step.next == Life::cleared_unacknowledged && a.first_raised < a.raised) {
    a.cleared = cleared_before;  // nobody heard that it came again: it is as it was seen before
  } else if (!a.told) {
    a.life = Life::normal;  // nobody heard of it
  }
  a.told = false;
  if (!a.active()) a.suppressed = is_suppressed_now(world, index);
  after_change(world, index);
}

// A person has looked: the newest of the inputs is a hand reading.
bool newest_input_is_by_hand(const World& world, std::uint32_t index) {
  Instant newest{};
  bool by_hand = false;
  for (const std::uint32_t slot : world.plan->alarms[index].measured_slots) {
    const SlotState& s = world.board[slot];
    if (!s.has_value || s.at < newest) continue;
    newest = s.at;
    by_hand = s.by_hand;
  }
  return by_hand;
}

// A person has looked since its condition is over, and read what the sensor says.
bool gauged_as_over(const World& world, std::uint32_t index) {
  const auto& measured = world.plan->alarms[index].measured_slots;
  return std::ranges::find(measured, world.gauged) != measured.end() &&
         world.series[world.gauged].hand.at >= world.alarms[index].clearing.began;
}

Instant window_deadline(const Program& program, const std::vector<Window>& windows) {
  Instant next = never;
  for (std::size_t i = 0; i < program.histories.size(); ++i) {
    next = std::min(next, windows[i].deadline(program.histories[i]));
  }
  return next;
}

void arm(World& world, std::uint32_t index, Cell raise_now) {
  const AlarmState& a = world.alarms[index];
  const AlarmSpec& spec = world.plan->alarms[index];
  const RuleSpec& rule = world.plan->rules[spec.rule];
  Instant next = std::min(window_deadline(spec.raise, a.raise_windows), window_deadline(spec.clear, a.clear_windows));
  // One that waits for a reading is looked at when its delay has run out, and from then on as its inputs change.
  const Instant run_out = delay_deadline(a.raising, rule.on_delay);
  const bool may_be_raised = !a.active() && raise_now.known && (a.raising.waits.empty() || run_out > world.now);
  if (may_be_raised) next = std::min(next, run_out);
  if (a.active()) next = std::min(next, delay_deadline(a.clearing, rule.off_delay));
  if (a.shelved_until > world.now) next = std::min(next, a.shelved_until);
  if (a.life == Life::cleared_unacknowledged) next = std::min(next, a.cleared + limits::cleared_stays_visible);
  if (next <= world.now) next = world.now + Span(1);
  world.timers.arm(world.alarm_timer(index), next);
}

void follow_raising(World& world, std::uint32_t index, Cell raise_cell) {
  Delay& delay = world.alarms[index].raising;
  const bool begins = run_delay(delay, raise_cell, world.now);
  if (raise_cell.known && raise_cell.value != 0) follow_waits(world, index, delay, begins);
}

// Out of service, or out of its season: nothing stands and the clock of the delay rests, but which single readings the
// condition rests on is followed, so that the return raises nothing on one packet.
void settle_withheld(World& world, std::uint32_t index, Cell raise_cell, std::string_view why) {
  const bool stood = world.alarms[index].life != Life::normal;
  withdraw_alarm(world, index, why);
  follow_raising(world, index, raise_cell);
  Delay& delay = world.alarms[index].raising;
  if (stood) wait_for_each(world, index, delay);
  withhold_delay(delay, raise_cell.known, world.now);
}

void settle_conditions(World& world, std::uint32_t index, Cell raise_cell, Cell ends) {
  AlarmState& a = world.alarms[index];
  const RuleSpec& rule = world.plan->rules[world.plan->alarms[index].rule];
  if (!a.active()) {
    const bool was_withheld = is_withheld(a.raising);
    follow_raising(world, index, raise_cell);
    if (was_withheld && a.raising.running && a.raising.resumed != never) a.raising.began = world.now;
    if (!raise_cell.known || raise_cell.value == 0) return;
    const bool run_out = delay_run(a.raising, world.now) >= rule.on_delay && !rests_on_awaited(world, index, a.raising);
    if (run_out || newest_input_is_by_hand(world, index)) raise(world, index);
    return;
  }
  run_delay(a.clearing, ends, world.now);
  if (!ends.known || ends.value == 0) return;
  // A person has looked, or has worked on it: what is over then is no noise of a sensor, also where the sensor saw it
  // before the work was told.
  const bool mended = world.acted_on == world.plan->alarms[index].entity;
  const bool run_out = delay_run(a.clearing, world.now) >= rule.off_delay;
  const bool looked = newest_input_is_by_hand(world, index) || gauged_as_over(world, index);
  if (run_out || mended || looked) end(world, index, AlarmCause::clear, "cleared");
}

// What nothing suppresses any more, or what comes from the shelf, is told, unless it does not hold or nobody knows:
// often one cause ends both, and nobody needs to hear for the first time of what is over but for its hysteresis.
void release(World& world, std::uint32_t index) {
  AlarmState& a = world.alarms[index];
  if (!a.active() || is_suppressed_now(world, index)) return;
  if (!a.suppressed && (a.told || is_hidden(world, index))) return;
  if (!a.told && !a.holds) return;
  if (a.suppressed) {
    a.suppressed = false;
    world.emit(EventGroup::alarm, index, alarm_event(world, index, EventKind::alarm_unsuppressed));
  }
  if (is_hidden(world, index) || a.told) return;
  // Its words are of now, as its values are, and so is the time for a response.
  a.raised = world.now;
  const RuleSpec& rule = world.plan->rules[world.plan->alarms[index].rule];
  if (rule.respond_within) a.respond_by = world.now + *rule.respond_within;
  render_alarm(world, index);
  tell_raised(world, index);
}

// Whether it is over: by clear_when, but not while raise_when is true, and nobody knows while that is unknown. Known
// and false where it stands neither now nor after this step: nobody asks then, but for its windows.
Cell ends_now(World& world, std::uint32_t index, Cell raise_cell) {
  AlarmState& a = world.alarms[index];
  const Program& clear = world.plan->alarms[index].clear;
  const bool holds = raise_cell.known && raise_cell.value != 0;
  if (clear.empty()) return {holds ? 0.0 : 1.0, raise_cell.known, false};
  if (!a.active() && !holds && clear.histories.empty()) return Cell::of(0);
  const Cell clear_cell = evaluate(clear, world.board, a.clear_windows, world.now);
  if (holds) return Cell::of(0);
  return raise_cell.known || (clear_cell.known && clear_cell.value == 0) ? clear_cell : Cell::unknown();
}

// Nothing of it stands, runs or waits for a time: so it stays where the condition is known not to hold.
bool is_quiet(const AlarmState& a) {
  return a.life == Life::normal && !a.raising.running && !a.clearing.running && a.unknown_since == Instant{} &&
         a.shelved_until == Instant{} && a.raise_windows.empty() && a.clear_windows.empty() &&
         a.title_windows.empty() && a.message_windows.empty();
}

void settle_alarm(World& world, std::uint32_t index) {
  AlarmState& a = world.alarms[index];
  const AlarmSpec& spec = world.plan->alarms[index];
  const RuleSpec& rule = world.plan->rules[spec.rule];
  const Cell raise_cell = evaluate(spec.raise, world.board, a.raise_windows, world.now);
  if (raise_cell.known && raise_cell.value == 0 && is_quiet(a)) {
    a.holds = false;
    return;
  }
  const Cell ends = ends_now(world, index, raise_cell);
  a.holds = raise_cell.known && raise_cell.value != 0;
  if (ends.known) {
    a.unknown_since = Instant{};
  } else if (a.unknown_since == Instant{}) {
    a.unknown_since = world.now;
  }
  if (!a.title_windows.empty()) feed(spec.title, world.board, a.title_windows, world.now);
  if (!a.message_windows.empty()) feed(spec.message, world.board, a.message_windows, world.now);
  if (a.shelved_until != Instant{} && a.shelved_until <= world.now)
    (void)unshelve_alarm(world, index, {}, "the time is over");
  if (a.life == Life::cleared_unacknowledged && a.cleared + limits::cleared_stays_visible <= world.now) {
    a.life = alarm_step(a.life, AlarmCause::forget).next;
  }
  if (world.entities[spec.entity].out_of_service()) {
    settle_withheld(world, index, raise_cell, "out_of_service");
  } else if (out_of_season(world, rule)) {
    settle_withheld(world, index, raise_cell, "season");
  } else {
    if (!a.active()) a.suppressed = is_suppressed_now(world, index);
    settle_conditions(world, index, raise_cell, ends);
    if (a.active()) follow_detail(world, index);
  }
  arm(world, index, raise_cell);
}

}  // namespace

AlarmStep alarm_step(AlarmLife life, AlarmCause cause) {
  return life_cycle[static_cast<std::size_t>(life)][static_cast<std::size_t>(cause)];
}

void settle_alarms(World& world) {
  // Suppressors first, so that what they suppress is never told for an instant; one that ends may mark what it
  // suppresses, whose turn is later.
  std::vector<std::uint32_t>& dirty = world.dirty_alarms;
  const auto before = [&](std::uint32_t a, std::uint32_t b) {
    return world.wiring.settled_as[a] < world.wiring.settled_as[b];
  };
  std::size_t sorted = 0;
  for (std::size_t i = 0; i < dirty.size(); ++i) {
    if (sorted < dirty.size()) std::sort(dirty.begin() + static_cast<std::ptrdiff_t>(i), dirty.end(), before);
    sorted = dirty.size();
    settle_alarm(world, dirty[i]);
  }
  for (const std::uint32_t index : dirty) release(world, index);
  dirty.clear();
}

void withdraw_alarm(World& world, std::uint32_t index, std::string_view reason) {
  if (world.alarms[index].life != Life::normal) end(world, index, AlarmCause::withdraw, reason);
}

void tell_orphans(World& world) {
  for (OrphanAlarm& orphan : world.orphans) {
    Event event;
    event.kind = EventKind::alarm_cleared;
    event.id = orphan.state.id;
    event.rule = orphan.rule;
    event.gear = orphan.gear;
    event.priority = orphan.state.priority;
    event.since = orphan.state.since;
    event.title = orphan.state.title;
    event.reason = world.plan->find_entity(orphan.gear) == no_index ? "gear_removed" : "rule_removed";
    world.emit(EventGroup::alarm, 0, std::move(event));
  }
  world.orphans.clear();
}

std::string acknowledge_alarm(World& world, std::uint32_t index, const std::string& by) {
  AlarmState& a = world.alarms[index];
  const AlarmStep step = alarm_step(a.life, AlarmCause::acknowledge);
  if (a.life == Life::acknowledged) return "it is acknowledged already";
  if (!step.tells) return "it is not active";
  a.life = step.next;
  if (a.active()) a.told = true;  // on the shelf or suppressed it was told to nobody, and this person has seen it
  Event event = alarm_event(world, index, EventKind::alarm_acknowledged);
  event.by = by;
  world.emit(EventGroup::alarm, index, std::move(event));
  world.mark_alarm(index);
  return {};
}

namespace {

// What does not stand has no id and no time, whatever it had when it stood.
Event shelf_event(const World& world, std::uint32_t index, EventKind kind, const std::string& by,
                  const std::string& reason) {
  Event event = alarm_event(world, index, kind);
  if (world.alarms[index].life == Life::normal) {
    event.id.clear();
    event.since.reset();
  }
  event.by = by;
  event.reason = reason;
  return event;
}

}  // namespace

void shelve_alarm(World& world, std::uint32_t index, Instant until, const std::string& by, const std::string& why) {
  AlarmState& a = world.alarms[index];
  a.shelved_until = until;
  a.shelved_why = why;
  Event event = shelf_event(world, index, EventKind::alarm_shelved, by, why);
  event.until = until;
  world.emit(EventGroup::alarm, index, std::move(event));
  world.mark_alarm(index);
}

std::string unshelve_alarm(World& world, std::uint32_t index, const std::string& by, const std::string& reason) {
  AlarmState& a = world.alarms[index];
  if (a.shelved_until == Instant{}) return "it is not shelved";
  a.shelved_until = Instant{};
  a.shelved_why.clear();
  world.emit(EventGroup::alarm, index, shelf_event(world, index, EventKind::alarm_unshelved, by, reason));
  world.mark_alarm(index);  // told, if it still stands, when its conditions are settled
  return {};
}

std::uint32_t find_alarm(const Plan& plan, std::string_view rule, std::string_view gear) {
  for (std::uint32_t i = 0; i < plan.alarms.size(); ++i) {
    if (plan.rules[plan.alarms[i].rule].name == rule && plan.entities[plan.alarms[i].entity].id == gear) return i;
  }
  return no_index;
}

}  // namespace overwinter
