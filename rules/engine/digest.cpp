#include "rules/engine/digest.h"

#include <algorithm>
#include <cmath>
#include <set>

namespace overwinter {
namespace {

constexpr double watched_enough = 0.9;  // of the week, before "all is well" may be said

std::string counted(std::size_t n, const std::string& one, const std::string& many) {
  return std::to_string(n) + " " + (n == 1 ? one : many);
}

// The least known of the measured inputs of a gear's alarms, over the week; nothing: it has none with a source.
std::optional<double> share_watched(const World& world, std::uint32_t entity) {
  std::optional<double> least;
  for (const std::uint32_t alarm : world.wiring.entity_alarms[entity]) {
    for (const std::uint32_t slot : world.plan->alarms[alarm].measured_slots) {
      const Slot& spec = world.plan->slots[slot];
      if (spec.sensor == no_index && !spec.by_hand) continue;
      const double share = world.board.share_known(slot);
      if (!least || share < *least) least = share;
    }
  }
  return least;
}

std::string list_open_alarms(const World& world) {
  std::string text;
  for (const AlarmState& a : world.alarms) {
    if (!a.active()) continue;
    text += text.empty() ? "Still standing: " : "; ";
    text += a.title + " (since " + print_date(a.since, world.plan->units, world.plan->zone, world.now) + ")";
  }
  return text.empty() ? text : text + ".";
}

std::string list_open_reminders(const World& world) {
  std::string text;
  for (std::uint32_t i = 0; i < world.reminders.size(); ++i) {
    const ReminderState& r = world.reminders[i];
    if (r.life != ReminderLife::due && r.life != ReminderLife::overdue) continue;
    text += text.empty() ? "To do: " : " ";
    text += r.message;
  }
  return text;
}

// Booleans and words that nobody ever heard are no alarm; the digest asks.
std::string list_never_heard(const World& world) {
  std::string text;
  for (const Sensor& sensor : world.plan->sensors) {
    if (world.plan->slots[sensor.slot].type.is_numeric() || world.series[sensor.slot].heard ||
        world.board[sensor.slot].has_value) {
      continue;
    }
    text += text.empty() ? "Never heard: " : ", ";
    text += world.entity(world.plan->slots[sensor.slot].entity).name + " " +
            std::string(world.plan->slot_name(sensor.slot));
  }
  return text.empty() ? text : text + "; is the topic right?";
}

std::string list_shelved(const World& world) {
  std::size_t shelved = 0;
  for (const AlarmState& a : world.alarms) shelved += a.shelved_until > world.now ? std::size_t{1} : std::size_t{0};
  return shelved == 0 ? "" : counted(shelved, "alarm is shelved.", "alarms are shelved.");
}

std::string compose(const World& world) {
  std::string text;
  const auto add = [&text](const std::string& part) {
    if (part.empty()) return;
    if (!text.empty()) text += " ";
    text += part;
  };
  std::size_t gear = 0;
  double least = 1;
  std::string least_name;
  for (std::uint32_t e = 0; e < world.entities.size(); ++e) {
    const std::optional<double> share = share_watched(world, e);
    if (!share) continue;
    ++gear;
    if (*share >= least) continue;
    least = *share;
    least_name = world.entity(e).name;
  }
  const std::string open = list_open_alarms(world);
  if (gear == 0) {
    add("Nothing was watched this week: no gear has a source that a rule uses.");
  } else if (open.empty() && least >= watched_enough) {
    add("All is well. " + counted(gear, "thing was", "things were") + " watched " +
        (least > 0.995
             ? "all week."
             : "for at least " + std::to_string(static_cast<int>(std::floor(least * 100))) + " % of the week."));
  } else if (least < watched_enough) {
    add(least_name + " was seen for only " + std::to_string(static_cast<int>(std::floor(least * 100))) +
        " % of the week.");
  }
  add(open);
  if (world.digest.alarms_raised > 0) {
    add(counted(world.digest.alarms_raised, "alarm was raised this week.", "alarms were raised this week."));
  }
  add(list_open_reminders(world));
  add(list_never_heard(world));
  add(list_shelved(world));
  for (const std::string& question : world.digest.questions) add(question);
  return text;
}

}  // namespace

void arm_digest(World& world) {
  if (!world.plan->digest.enabled) return;
  const TimeZone& zone = world.plan->zone;
  Instant next = next_local(world.now, world.plan->digest.at, zone);
  while (std::chrono::weekday(std::chrono::sys_days(to_local(next, zone).date)).c_encoding() !=
         world.plan->digest.weekday) {
    next = next_local(next, world.plan->digest.at, zone);
  }
  world.digest.next = next;
  world.timers.arm(world.digest_timer(), next);
}

void tell_digest(World& world) {
  Event event;
  event.kind = EventKind::digest;
  event.title = "The week at " + world.plan->site_name;
  event.message = compose(world);
  event.gear = world.plan->site_id;
  world.emit(EventGroup::digest, 0, std::move(event));
  world.digest.questions.clear();
  world.digest.alarms_raised = 0;
  world.digest.reminders_done = 0;
  world.board.begin_week();
  arm_digest(world);
}

}  // namespace overwinter
