#include "rules/engine/digest.h"

#include <algorithm>
#include <string>
#include <string_view>

#include "rules/engine/digest_watch.h"
#include "rules/engine/question.h"
#include "rules/engine/reminder.h"
#include "rules/quantity/in_words.h"

namespace overwinter {
namespace {

// A message of one's own rules may begin and end as it likes.
std::string as_whole_sentence(std::string text) {
  if (text.empty()) return text;
  const bool ended = std::string_view(".!?").find(text.back()) != std::string_view::npos;
  return as_sentence(std::move(text)) + (ended ? "" : ".");
}

std::string list_open_alarms(const World& world, std::string_view between) {
  std::string text;
  for (const AlarmState& a : world.alarms) {
    if (!a.active() || a.suppressed || a.shelved_until > world.now) continue;
    text += text.empty() ? "Still standing: " : between;
    text += a.title + " (since " + print_date(a.since, world.plan->units, world.plan->zone, world.now) + ")";
  }
  return text.empty() ? text : text + ".";
}

// With the numbers of today, not of the day it was first told.
std::string list_open_reminders(World& world) {
  std::string text;
  for (std::uint32_t i = 0; i < world.reminders.size(); ++i) {
    const ReminderState& r = world.reminders[i];
    if (!is_open(r)) continue;
    if (!is_called_for(world, i)) continue;
    text += text.empty() ? "To do: " : " ";
    text += as_whole_sentence(reminder_text(world, i));
  }
  return text;
}

bool was_never_heard(const World& world, const Sensor& sensor) {
  return !world.series[sensor.slot].heard && !world.board[sensor.slot].has_value;
}

bool is_number(const World& world, const Sensor& sensor) { return world.plan->slots[sensor.slot].type.is_numeric(); }

// Booleans and words that nobody ever heard are no alarm, nor is what lives off an engine; the digest asks.
std::string list_never_heard(const World& world) {
  std::string text;
  for (const Sensor& sensor : world.plan->sensors) {
    if (!was_never_heard(world, sensor) || (is_number(world, sensor) && sensor.missed)) continue;
    text += text.empty() ? "Never heard: " : ", ";
    text += name_of_quantity(world, sensor.slot);
  }
  return text.empty() ? text : text + "; is the topic right?";
}

std::string list_shelved(const World& world) {
  std::size_t shelved = 0;
  for (const AlarmState& a : world.alarms) shelved += a.shelved_until > world.now ? std::size_t{1} : std::size_t{0};
  return shelved == 0 ? "" : counted(shelved, "alarm is shelved.", "alarms are shelved.");
}

std::string list_out_of_service(const World& world) {
  std::string text;
  for (std::uint32_t e = 0; e < world.entities.size(); ++e) {
    if (!world.entities[e].out_of_service()) continue;
    text += (text.empty() ? "Out of service: " : ", ") + world.entity(e).name;
  }
  return text.empty() ? text : text + ".";
}

// The season ends by a person's word alone.
std::string ask_whether_back(const World& world) {
  const Instant back = world.plan->return_to_service;
  if (back == Instant{} || world.now < back || world.season.returned || !world.season.laid_up) return {};
  return "The return to service was planned for " + print_date(back, world.plan->units, world.plan->zone, world.now) +
         ". Is the camper back? Until somebody says so (command: season), it is watched as laid up.";
}

std::string compose(World& world) {
  std::string text;
  const auto add = [&text](const std::string& part) {
    if (part.empty()) return;
    if (!text.empty()) text += " ";
    text += part;
  };
  const bool any_open = std::ranges::any_of(world.alarms, [](const AlarmState& a) { return a.active(); });
  // An engine's load is not heard before its first run; how a door stands ought to be.
  const bool all_heard = std::ranges::none_of(world.plan->sensors, [&world](const Sensor& sensor) {
    return !is_number(world, sensor) && was_never_heard(world, sensor);
  });
  add(tell_gap(world));
  add(tell_watch(world, any_open, all_heard));
  std::string open = list_open_alarms(world, "; ");
  if (text.empty() && !fits_a_first_sentence(open)) open = list_open_alarms(world, ". ");
  add(open);
  if (world.digest.alarms_raised > 0) {
    add(counted(world.digest.alarms_raised, "alarm was raised this week.", "alarms were raised this week."));
  }
  add(list_open_reminders(world));
  add(list_never_heard(world));
  add(list_shelved(world));
  add(list_out_of_service(world));
  add(ask_whether_back(world));
  for (const std::string& question : open_questions(world)) add(question);
  return text;
}

bool is_on_its_day(const Plan& plan, Instant t) {
  return std::chrono::weekday(std::chrono::sys_days(to_local(t, plan.zone).date)).c_encoding() == plan.digest.weekday;
}

}  // namespace

void arm_digest(World& world) {
  if (!world.plan->digest.enabled) return;
  const TimeZone& zone = world.plan->zone;
  Instant next = next_local(world.now, world.plan->digest.at, zone);
  while (!is_on_its_day(*world.plan, next)) next = next_local(next, world.plan->digest.at, zone);
  world.digest.next = next;
  world.timers.arm(world.digest_timer(), next);
}

void arm_reloaded_digest(World& world) {
  const Plan& plan = *world.plan;
  Instant& next = world.digest.next;
  if (!plan.digest.enabled) next = Instant{};
  const bool stays = is_on_its_day(plan, next) && to_local(next, plan.zone).since_midnight == plan.digest.at;
  if (next == Instant{} || !stays) return arm_digest(world);
  world.timers.arm(world.digest_timer(), std::max(next, world.now));
}

void tell_digest(World& world) {
  Event event;
  event.kind = EventKind::digest;
  event.title = "The week at " + world.plan->site_name;
  event.message = compose(world);
  event.gear = world.plan->site_id;
  world.emit(EventGroup::digest, 0, std::move(event));
  forget_questions(world);
  world.digest.alarms_raised = 0;
  world.digest.reminders_done = 0;
  world.board.begin_week();
  arm_digest(world);
}

}  // namespace overwinter
