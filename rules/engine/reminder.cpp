#include "rules/engine/reminder.h"

#include <algorithm>
#include <optional>
#include <utility>

#include "rules/engine/alarm_event.h"
#include "rules/engine/season.h"
#include "rules/language/evaluator.h"

namespace overwinter {
namespace {

using namespace std::chrono_literals;

constexpr std::chrono::milliseconds due_hour = 8h;
constexpr std::chrono::milliseconds day_begins = 8h;
constexpr std::chrono::milliseconds day_ends = 18h;

// `after` plus the interval; days and longer are due at 08:00 local of that date.
Instant add(Instant after, const Every& every, const TimeZone& zone) {
  if (every.months == 0 && every.span % one_day != Span{}) return after + every.span;
  const LocalTime local = to_local(after, zone);
  std::chrono::year_month_day date = local.date;
  if (every.months != 0) {
    date += std::chrono::months(every.months);
    if (!date.ok()) date = date.year() / date.month() / std::chrono::last;
  } else {
    date = std::chrono::sys_days(date) + std::chrono::days(every.span / one_day);
  }
  return from_local(date, due_hour, zone);
}

// 08:00 local of the date that it is anchored to.
std::optional<Instant> date_of(const World& world, const ReminderDef& def) {
  Instant day{};
  switch (def.anchor) {
    case ReminderDef::Anchor::none:
      return std::nullopt;
    case ReminderDef::Anchor::date:
      day = def.date.value_or(Instant{});
      break;
    case ReminderDef::Anchor::lay_up:
      day = season_begins(world);
      break;
    case ReminderDef::Anchor::return_to_service:
      day = world.season.returned.value_or(world.plan->return_to_service);
      if (day < season_begins(world)) return std::nullopt;  // of the season before
      break;
  }
  if (day == Instant{}) return std::nullopt;
  return from_local(to_local(day, world.plan->zone).date, due_hour, world.plan->zone);
}

std::optional<Instant> due_by_date(const World& world, const ReminderDef& def, const ReminderState& state) {
  const std::optional<Instant> due = date_of(world, def);
  if (!due || (state.completed && *state.completed >= *due)) return std::nullopt;
  if (state.life == ReminderLife::done) return std::nullopt;
  return due;
}

// Done for one date, and that is another now: what is put off by weeks is the same work, and a later season is not.
// Where no date was known when it was done, half a year later is no work done early.
bool comes_again(const World& world, const ReminderDef& def, const ReminderState& state) {
  constexpr Span put_off = 60 * one_day;
  constexpr Span half_a_year = 183 * one_day;
  if (state.life != ReminderLife::done || !state.completed) return false;
  const std::optional<Instant> date = date_of(world, def);
  return date && *date > (state.due ? *state.due + put_off : *state.completed + half_a_year);
}

// Told for a date that was a slip of the pen, or for one of the season before: it is not due yet, or nobody knows when.
bool was_told_too_soon(const World& world, const ReminderDef& def, const ReminderState& state) {
  if (!is_open(state) || def.anchor == ReminderDef::Anchor::none || def.every) return false;
  const std::optional<Instant> date = date_of(world, def);
  return !date || *date > world.now;
}

// No longer asked for.
void withdraw(ReminderState& state) {
  state.life = ReminderLife::waiting;
  state.told.reset();
  state.due.reset();
}

std::optional<Instant> next_due(const World& world, std::uint32_t index) {
  const ReminderDef& def = world.plan->reminder_defs[world.plan->reminders[index].def];
  const ReminderState& state = world.reminders[index];
  std::optional<Instant> due = due_by_date(world, def, state);
  if (def.every) {
    Instant from = season_begins(world);
    if (from == Instant{}) from = world.started;
    // Work of the season that was done last winter begins anew with the lay-up.
    const bool begins = !state.completed || (def.season == SeasonScope::laid_up && *state.completed < from);
    const Instant by_interval = begins ? add(from, def.first.value_or(*def.every), world.plan->zone)
                                       : add(*state.completed, *def.every, world.plan->zone);
    due = due ? std::min(*due, by_interval) : by_interval;
  }
  if (state.due_was_true) {  // due_when: since it turned true
    const Instant since = state.due.value_or(world.now);
    due = due ? std::min(*due, since) : since;
  }
  return due;
}

Event reminder_event(const World& world, std::uint32_t index, EventKind kind) {
  const ReminderSpec& spec = world.plan->reminders[index];
  const ReminderDef& def = world.plan->reminder_defs[spec.def];
  const ReminderState& state = world.reminders[index];
  Event event;
  event.kind = kind;
  event.reminder = def.name;
  event.gear = world.entity(spec.entity).id;
  event.priority = def.priority;
  if (state.due) {
    event.due = state.due;
    event.id = def.name + "/" + event.gear + "/" + format_rfc3339(*state.due);
  }
  event.message = state.message;
  return event;
}

void tell_due(World& world, std::uint32_t index) {
  ReminderState& state = world.reminders[index];
  state.life = ReminderLife::due;
  state.told = world.now;
  state.message = reminder_text(world, index);
  world.emit(EventGroup::reminder, index, reminder_event(world, index, EventKind::reminder_due));
}

void tell_overdue(World& world, std::uint32_t index) {
  ReminderState& state = world.reminders[index];
  state.life = ReminderLife::overdue;
  state.message = reminder_text(world, index);
  world.emit(EventGroup::reminder, index, reminder_event(world, index, EventKind::reminder_overdue));
}

bool is_daytime(const World& world) {
  const auto time = to_local(world.now, world.plan->zone).since_midnight;
  return time >= day_begins && time < day_ends;
}

Cell run_program(const World& world, const Program& program, std::vector<Window>& windows) {
  return program.empty() ? Cell::unknown() : evaluate(program, world.board, windows, world.now);
}

bool rests(const World& world, std::uint32_t index) {
  const ReminderSpec& spec = world.plan->reminders[index];
  const ReminderDef& def = world.plan->reminder_defs[spec.def];
  return world.entities[spec.entity].out_of_service() || (def.season == SeasonScope::laid_up && !world.season.laid_up);
}

// Work by the calendar may be done early; what only a condition asks for is done when it was asked.
bool evidence_counts(const ReminderDef& def, const ReminderState& state) {
  const bool by_calendar = def.every || def.anchor != ReminderDef::Anchor::none;
  return by_calendar || is_open(state) || (state.due_was_true && state.life != ReminderLife::done);
}

// due_when is an edge: it makes the reminder due when it turns true, once until it was false again.
void follow_due_when(World& world, std::uint32_t index, Cell due_when) {
  ReminderState& state = world.reminders[index];
  if (!due_when.known || state.life == ReminderLife::done) return;
  const bool is = due_when.value != 0;
  if (is && !state.due_was_true && !is_open(state)) state.due = world.now;
  state.due_was_true = is;
}

// What a condition asked for is overdue only while it is known to ask: neither when it asks no more nor when nobody
// knows.
bool may_be_overdue(const ReminderSpec& spec, Cell due_when) {
  return spec.due_when.empty() || (due_when.known && due_when.value != 0);
}

// done_when is an edge too.
void take_evidence(World& world, std::uint32_t index, Cell done_when) {
  if (!done_when.known) return;
  ReminderState& state = world.reminders[index];
  const bool is = done_when.value != 0;
  const bool turned = is && !state.done_was_true;
  state.done_was_true = is;
  const ReminderDef& def = world.plan->reminder_defs[world.plan->reminders[index].def];
  if (turned && evidence_counts(def, state))
    complete_reminder(world, index, world.now, {.told = Completion::Told::by_evidence});
}

// Each of these follows one state, and answers when it must be looked at again.

// `good_day`: nothing where it is asked only when the work is due.
Instant follow_waiting(World& world, std::uint32_t index, std::optional<Cell> good_day) {
  const ReminderSpec& spec = world.plan->reminders[index];
  ReminderState& state = world.reminders[index];
  state.due = next_due(world, index);
  if (!state.due) return never;
  if (*state.due > world.now) return *state.due;
  if (!good_day) good_day = run_program(world, spec.good_day_when, state.good_windows);
  const bool any_day = spec.good_day_when.empty();
  const bool good = good_day->known && good_day->value != 0 && is_daytime(world);
  const Instant latest = *state.due + grace_of(world.plan->reminder_defs[spec.def]);
  if (!any_day && !good && world.now < latest) {
    return std::min(latest, next_local(world.now, day_begins, world.plan->zone));
  }
  tell_due(world, index);
  return never;
}

Instant follow_due(World& world, std::uint32_t index, Cell due_when) {
  const ReminderSpec& spec = world.plan->reminders[index];
  ReminderState& state = world.reminders[index];
  const Instant late = overdue_at(world.plan->reminder_defs[spec.def], *state.due, *state.told);
  if (world.now < late) return late;
  if (may_be_overdue(spec, due_when)) tell_overdue(world, index);
  return never;  // where it may not, it is overdue when the condition asks again
}

void settle_one(World& world, std::uint32_t index) {
  const ReminderSpec& spec = world.plan->reminders[index];
  const ReminderDef& def = world.plan->reminder_defs[spec.def];
  ReminderState& state = world.reminders[index];
  const Cell done_when = run_program(world, spec.done_when, state.done_windows);
  const Cell due_when = run_program(world, spec.due_when, state.due_windows);
  // What looks back must see every reading; the rest is asked when the work is due.
  std::optional<Cell> good_day;
  if (!state.good_windows.empty()) good_day = run_program(world, spec.good_day_when, state.good_windows);
  if (!state.message_windows.empty()) feed(spec.message, world.board, state.message_windows, world.now);
  take_evidence(world, index, done_when);
  if (comes_again(world, def, state) || was_told_too_soon(world, def, state)) withdraw(state);
  Instant wake = never;
  if (rests(world, index)) {
    if (state.life != ReminderLife::done) withdraw(state);  // nobody knows when it will be asked for
  } else {
    follow_due_when(world, index, due_when);
    if (state.life == ReminderLife::waiting) wake = follow_waiting(world, index, good_day);
    if (state.life == ReminderLife::due) wake = follow_due(world, index, due_when);  // also what has just become so
  }
  world.timers.arm(world.reminder_timer(index), wake);
}

}  // namespace

bool is_open(const ReminderState& state) {
  return state.life == ReminderLife::due || state.life == ReminderLife::overdue;
}

bool waits_for_good_day(const ReminderState& state, Instant now) {
  return state.life == ReminderLife::waiting && state.due && *state.due <= now;
}

Span grace_of(const ReminderDef& def) {
  if (def.grace) return *def.grace;
  if (!def.every) return 7 * one_day;
  const Span every = def.every->span + def.every->months * one_month;
  return std::clamp(every / 5, one_day, 14 * one_day);
}

Instant overdue_at(const ReminderDef& def, Instant due, Instant told) {
  return std::max(due + grace_of(def), told + one_day);
}

bool is_called_for(const World& world, std::uint32_t index) {
  std::vector<Window> windows = world.reminders[index].due_windows;  // to ask is no reading
  const Cell due_when = run_program(world, world.plan->reminders[index].due_when, windows);
  return !due_when.known || due_when.value != 0;
}

std::string reminder_text(World& world, std::uint32_t index) {
  const ReminderSpec& spec = world.plan->reminders[index];
  const std::string detail = detail_of_gear(world, spec.entity);
  const RenderContext context{world.entity(spec.entity).name, detail, world.plan->units, &world.plan->zone, world.now};
  return render(spec.message, world.board, world.reminders[index].message_windows, context);
}

void complete_reminder(World& world, std::uint32_t index, Instant at, Completion completion) {
  ReminderState& state = world.reminders[index];
  const bool is_done = completion.outcome == Completion::Outcome::done;
  Event event = reminder_event(world, index, is_done ? EventKind::reminder_done : EventKind::reminder_skipped);
  event.reason = completion.told == Completion::Told::by_command ? "command" : "evidence";
  event.by = std::move(completion.by);
  event.message = std::move(completion.found);
  world.emit(EventGroup::reminder, index, std::move(event));
  if (is_done) ++world.digest.reminders_done;
  const ReminderDef& def = world.plan->reminder_defs[world.plan->reminders[index].def];
  state.completed = state.completed ? std::max(*state.completed, at) : at;
  state.told.reset();
  const bool once = def.anchor != ReminderDef::Anchor::none && !def.every;  // also done, or left out, before its date
  state.due = once ? date_of(world, def) : std::nullopt;
  state.life = once ? ReminderLife::done : ReminderLife::waiting;
  const bool asked = std::exchange(state.due_was_true, false);
  if (!world.plan->reminders[index].due_when.empty()) {
    // It must turn false before it can be due again; to be not known is no such turn.
    const Cell still = run_program(world, world.plan->reminders[index].due_when, state.due_windows);
    const bool asks = still.known ? still.value != 0 : asked;
    if (asks && !def.every) state.life = ReminderLife::done;
  }
  world.mark_reminder(index);
}

void reopen_seasonal_reminders(World& world) {
  for (std::uint32_t i = 0; i < world.reminders.size(); ++i) {
    const ReminderDef& def = world.plan->reminder_defs[world.plan->reminders[i].def];
    const bool seasonal =
        def.anchor == ReminderDef::Anchor::lay_up || def.anchor == ReminderDef::Anchor::return_to_service;
    if (!seasonal || world.reminders[i].life != ReminderLife::done) continue;
    world.reminders[i].life = ReminderLife::waiting;
  }
}

void settle_reminders(World& world) {
  std::sort(world.dirty_reminders.begin(), world.dirty_reminders.end());
  for (std::size_t i = 0; i < world.dirty_reminders.size(); ++i) {
    const std::uint32_t index = world.dirty_reminders[i];
    ReminderState& state = world.reminders[index];
    const ReminderSpec& spec = world.plan->reminders[index];
    if (state.life == ReminderLife::done && !spec.due_when.empty()) {
      const Cell due_when = run_program(world, spec.due_when, state.due_windows);
      if (due_when.known && due_when.value == 0) state.life = ReminderLife::waiting;
    }
    settle_one(world, index);
  }
  world.dirty_reminders.clear();
}

std::vector<std::uint32_t> find_reminders(const Plan& plan, std::string_view name, std::string_view gear) {
  std::vector<std::uint32_t> found, found_by_former_name;
  for (std::uint32_t i = 0; i < plan.reminders.size(); ++i) {
    if (!gear.empty() && plan.entities[plan.reminders[i].entity].id != gear) continue;
    const ReminderDef& def = plan.reminder_defs[plan.reminders[i].def];
    if (def.name == name) found.push_back(i);
    if (def.was == name) found_by_former_name.push_back(i);
  }
  return found.empty() ? found_by_former_name : found;
}

}  // namespace overwinter
