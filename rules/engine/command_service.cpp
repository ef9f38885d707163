// take_out, put_back, done, skip, season.
#include <algorithm>
#include <utility>

#include "rules/engine/command.h"
#include "rules/engine/reminder.h"
#include "rules/engine/season.h"
#include "rules/engine/silence.h"
#include "rules/quantity/in_words.h"
#include "rules/quantity/unit.h"

namespace overwinter {
namespace {

void tell_service(CommandCall& call, std::uint32_t entity, EventKind kind) {
  Event event;
  event.kind = kind;
  event.gear = call.world.entity(entity).id;
  event.by = call.by;
  event.reason = call.text("why", false);
  call.world.emit(EventGroup::command, entity, std::move(event));
  for (const std::uint32_t alarm : call.world.wiring.entity_alarms[entity]) call.world.mark_alarm(alarm);
  for (const std::uint32_t reminder : call.world.wiring.entity_reminders[entity]) call.world.mark_reminder(reminder);
}

std::vector<std::string_view> gear_of_reminder(const Plan& plan, const std::string& name) {
  std::vector<std::string_view> gear;
  for (const std::uint32_t r : find_reminders(plan, name, {})) {
    gear.push_back(plan.entities[plan.reminders[r].entity].id);
  }
  return gear;
}

void complete(CommandCall& call, Completion::Outcome outcome) {
  const Plan& plan = *call.world.plan;
  const std::string said_name = call.text("reminder", true);
  const std::string gear = plan.present_gear(call.text("gear", false));
  if (!call.refused.empty()) return;
  const std::string name = plan.present_reminder(said_name, gear);
  const std::vector<std::uint32_t> found = find_reminders(plan, said_name, gear);
  if (found.size() > 1) {
    std::string which;
    for (const std::uint32_t r : found) {
      which += (which.empty() ? "" : ", ") + plan.entities[plan.reminders[r].entity].id;
    }
    return call.refuse("'gear' is missing; the reminder '" + said_name + "' is about: " + which);
  }
  if (found.empty()) {
    std::vector<std::string_view> names;
    for (const ReminderDef& d : plan.reminder_defs) names.push_back(d.name);
    if (std::find(names.begin(), names.end(), name) != names.end()) {
      const std::vector<std::string_view> about = gear_of_reminder(plan, name);
      return call.refuse(
          "the reminder '" + name + "' is " +
          (about.empty() ? "about no gear of this site" : "not about '" + gear + "'; it is about " + a_few(about)));
    }
    const auto near = nearest_word(name, names);
    return call.refuse("there is no reminder '" + name + "'; " +
                       (near            ? "did you mean " + std::string(*near) + "?"
                        : names.empty() ? "the site has none"
                                        : "there are " + a_few(names)));
  }
  const ReminderState& state = call.world.reminders[found.front()];
  const std::string& of = call.world.entity(plan.reminders[found.front()].entity).name;
  call.answer = std::string(outcome == Completion::Outcome::skipped ? "Skipped: " : "Done: ") +
                (is_open(state) ? state.message : as_sentence(of) + ", " + in_words(name) + ". It was not due.");
  std::string said = call.text("found", false);
  if (const std::string why = call.text("why", false); !why.empty()) said += (said.empty() ? "" : "; ") + why;
  complete_reminder(call.world, found.front(), call.at,
                    {outcome, Completion::Told::by_command, call.by, std::move(said)});
}

}  // namespace

void run_take_out(CommandCall& call) {
  const std::uint32_t entity = call.entity();
  if (entity == no_index) return;
  if (call.world.entities[entity].out_of_service())
    return call.refuse("it is out of service already; put_back ends that");
  call.world.entities[entity].out_since = call.at;
  call.world.entities[entity].out_why = call.text("why", false);
  explain_silence_anew(call.world, entity);
  tell_service(call, entity, EventKind::gear_taken_out);
  const std::string& name = call.world.entity(entity).name;
  call.answer = entity == 0
                    ? as_sentence(name) +
                          ": what is asked of the site itself is out of service until put_back; its places and gear "
                          "are watched as before."
                    : as_sentence(name) + " is out of service; nothing is said of it until put_back.";
}

void run_put_back(CommandCall& call) {
  const std::uint32_t entity = call.entity();
  if (entity == no_index) return;
  if (!call.world.entities[entity].out_of_service())
    return call.refuse("it is in service already; there is nothing to put back");
  call.world.entities[entity].out_since = Instant{};
  call.world.entities[entity].out_why.clear();
  explain_silence_anew(call.world, entity);
  tell_service(call, entity, EventKind::gear_put_back);
  call.answer = as_sentence(call.world.entity(entity).name) + " is watched again.";
}

void run_done(CommandCall& call) { complete(call, Completion::Outcome::done); }
void run_skip(CommandCall& call) { complete(call, Completion::Outcome::skipped); }

void run_season(CommandCall& call) {
  const auto lay_up = call.instant("lay_up");
  const auto back = call.instant("return_to_service");
  if (!call.refused.empty()) return;
  if (lay_up.has_value() == back.has_value()) {
    return call.refuse("say 'lay_up' or 'return_to_service', one of them, as a date");
  }
  ++call.world.times_told;
  SeasonState& season = call.world.season;
  if (lay_up) {
    if (season.returned) reopen_seasonal_reminders(call.world);
    season.lay_up = lay_up;
    season.returned.reset();
  } else {
    if (*back < season_begins(call.world)) return call.refuse("the return lies before the lay-up");
    season.returned = back;
  }
  settle_season(call.world);
  for (std::uint32_t i = 0; i < call.world.reminders.size(); ++i) call.world.mark_reminder(i);
  const Instant day = lay_up ? *lay_up : *back;
  call.answer = std::string(lay_up ? "Laid up from " : "Back in service from ") +
                print_date(day, call.world.plan->units, call.world.plan->zone, call.world.now) + ".";
}

}  // namespace overwinter
