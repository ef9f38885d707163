#include "daemon/story.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <utility>

#include "daemon/person_time.h"
#include "daemon/printable.h"
#include "rules/quantity/in_words.h"
#include "rules/quantity/print.h"

namespace overwinter {
namespace {

// What happened, in the words of a household.
std::string_view headline(EventKind kind) {
  constexpr std::array<std::string_view, 20> words = {
      "ALARM",     "over",     "acknowledged", "shelved", "unshelved",   "suppressed", "no longer suppressed",
      "taken out", "put back", "reminder",     "overdue", "done",        "skipped",    "read by hand",
      "work",      "refused",  "unreadable",   "silent",  "heard again", "digest"};
  return words[static_cast<std::size_t>(kind)];
}

std::string name_in(const Plan& plan, const std::string& id) {
  const std::uint32_t index = plan.find_entity(id);
  return index == no_index ? id : plan.entities[index].name;
}

// The reasons that are codes; every other is a sentence already.
std::string_view reason_in_words(std::string_view reason) {
  constexpr std::array<std::pair<std::string_view, std::string_view>, 6> codes = {{
      {"out_of_service", "taken out of service"},
      {"season", "out of season"},
      {"rule_removed", "its rule is gone"},
      {"gear_removed", "its gear is gone"},
      {"evidence", "the readings show it"},
      {"command", "told by a person"},
  }};
  for (const auto& [code, words] : codes) {
    if (reason == code) return words;
  }
  return reason;
}

void add(std::string& line, std::string_view separator, std::string_view part) {
  if (part.empty()) return;
  line += separator;
  line += part;
}

std::string days(double value) { return fmt::format("{:.0f} {}", value, value == 1 ? "day" : "days"); }

}  // namespace

std::string local_date_and_time(const Plan& plan, Instant at) {
  const LocalTime local = to_local(at, plan.zone);
  const auto minutes = std::chrono::duration_cast<std::chrono::minutes>(local.since_midnight).count();
  const auto year = static_cast<int>(local.date.year());
  return fmt::format("{} {} {:02}:{:02}", print_date(at, plan.units, plan.zone, at), year, minutes / 60, minutes % 60);
}

std::string story_line(const Plan& plan, const Event& event) {
  std::string line = fmt::format("{}  {}", local_date_and_time(plan, event.at), headline(event.kind));
  if (event.priority && event.kind == EventKind::alarm_raised) line += fmt::format(" ({})", name_of(*event.priority));
  line += ": ";
  if (!event.title.empty()) {
    const bool code = event.kind == EventKind::act || event.kind == EventKind::command_refused;
    line += code ? in_words(event.title) : event.title;
  } else {
    line += event.gear.empty() ? plan.site_name : name_in(plan, event.gear);
    add(line, ", ", in_words(event.quantity));
    add(line, ", ", in_words(event.rule));
    add(line, ", ", in_words(event.reminder));
  }
  if (event.kind == EventKind::hand_reading && event.message.empty()) {
    const std::uint32_t entity = plan.find_entity(event.gear);
    const std::uint32_t slot = entity == no_index ? no_index : plan.find_slot(entity, event.quantity);
    if (event.value && slot != no_index) {
      line += ' ' +
              print_value(*event.value, plan.slots[slot].type, plan.slots[slot].shown, plan.units, plan.zone, event.at);
    }
    add(line, " ", event.word);
  }
  add(line, ". ", event.message);
  add(line, " - ", reason_in_words(event.reason));
  if (event.respond_by) line += fmt::format(" (respond by {})", date_near(plan, *event.respond_by, event.at));
  if (event.last_at) {
    const bool told_later = event.kind == EventKind::act || event.kind == EventKind::hand_reading;
    line += fmt::format(" ({} {})", told_later ? "of" : "last heard", local_date_and_time(plan, *event.last_at));
  }
  if (!event.by.empty()) line += fmt::format(" (by {})", event.by);
  std::ranges::replace(line, '\n', ' ');  // of a digest
  return printable(line);
}

std::string story_line(const Plan& plan, const Answer& answer) {
  return printable(
      fmt::format("{}  answer to {}: {}", local_date_and_time(plan, answer.at), answer.command, answer.answer));
}

void Scoreboard::take(const Event& event) {
  if (event.kind == EventKind::alarm_raised) {
    Raised& raised = alarms_[event.rule];
    if (raised.count++ == 0) raised.first = event.at;
  }
  if (event.kind == EventKind::reminder_done) ++reminders_done_;
  if (event.kind == EventKind::reminder_overdue) ++reminders_overdue_;
  if (event.kind == EventKind::hand_reading) ++hand_readings_;
  if (event.kind == EventKind::act) ++acts_;
  if (event.kind == EventKind::sensor_silent) silent_since_.try_emplace({event.gear, event.quantity}, event.at);
  if (event.kind == EventKind::sensor_back) {
    const auto silent = silent_since_.find({event.gear, event.quantity});
    if (silent == silent_since_.end()) return;
    silent_ += event.at - silent->second;
    silent_since_.erase(silent);
  }
}

std::string Scoreboard::text(const Plan& plan, Instant from, Instant to, const ReplayCounts& counts) const {
  Span silent = silent_;
  for (const auto& [sensor, since] : silent_since_) silent += to - since;
  std::string out = fmt::format("{} watched: {}, {} to {}\n", plan.site_name,
                                days(std::chrono::duration<double>(to - from) / one_day),
                                local_date_and_time(plan, from), local_date_and_time(plan, to));
  out += fmt::format("readings: {}, of them unreadable: {}\n", counts.readings, counts.rejected);
  if (alarms_.empty()) out += "alarms: none\n";
  for (const auto& [rule, raised] : alarms_) {
    out +=
        fmt::format("alarm {}: {}, first {}\n", in_words(rule), raised.count, local_date_and_time(plan, raised.first));
  }
  out += fmt::format("reminders done: {}, overdue: {}\n", reminders_done_, reminders_overdue_);
  out += fmt::format("read by hand: {}, work: {}, commands: {}, refused: {}\n", hand_readings_, acts_, counts.commands,
                     counts.refused);
  out += fmt::format("hours of silence, all sensors: {:.1f}\n", std::chrono::duration<double>(silent) / one_hour);
  out += fmt::format("lines nothing listens to: {}, earlier than the line before: {}, broken: {}\n", counts.ignored,
                     counts.earlier, counts.broken);
  return out;
}

}  // namespace overwinter
