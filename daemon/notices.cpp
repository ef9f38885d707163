#include "daemon/notices.h"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>

#include "daemon/json_text.h"
#include "rules/engine/alarm.h"
#include "rules/engine/evidence.h"
#include "rules/limits.h"

namespace overwinter {
namespace {

bool is_urgent(Priority priority) { return priority >= Priority::high; }

// Cut at a word, with an ellipsis; counts code points.
std::string shortened(const std::string& text, std::size_t most) {
  std::size_t points = 0, cut = 0, byte = 0;
  for (; byte < text.size(); ++byte) {
    if ((static_cast<unsigned char>(text[byte]) & 0xC0U) == 0x80U) continue;  // inside a code point
    if (++points > most) break;
    if (text[byte] == ' ') cut = byte;
  }
  if (points <= most) return text;
  return text.substr(0, cut == 0 ? byte : cut) + "…";
}

// When somebody is asked to have acted, as a sentence of its own.
std::string by_when(const World& world, Instant respond_by) {
  if (respond_by == Instant{}) return {};
  const Plan& plan = *world.plan;
  if (respond_by - world.now >= one_day) {
    return fmt::format(" By {}.", print_date(respond_by, plan.units, plan.zone, world.now));
  }
  const LocalTime local = to_local(respond_by, plan.zone);
  const auto minutes = local.since_midnight / one_minute;
  return fmt::format(" By {} {:02}:{:02}.", print_date(respond_by, plan.units, plan.zone, world.now), minutes / 60,
                     minutes % 60);
}

std::string event_word(EventKind kind) {
  switch (kind) {
    case EventKind::alarm_raised:
      return "raised";
    case EventKind::alarm_cleared:
      return "cleared";
    case EventKind::reminder_due:
      return "due";
    case EventKind::reminder_overdue:
      return "overdue";
    case EventKind::digest:
      return "digest";
    case EventKind::alarm_acknowledged:
    case EventKind::alarm_shelved:
    case EventKind::alarm_unshelved:
    case EventKind::alarm_suppressed:
    case EventKind::alarm_unsuppressed:
    case EventKind::gear_taken_out:
    case EventKind::gear_put_back:
    case EventKind::reminder_done:
    case EventKind::reminder_skipped:
    case EventKind::hand_reading:
    case EventKind::act:
    case EventKind::command_refused:
    case EventKind::reading_rejected:
    case EventKind::sensor_silent:
    case EventKind::sensor_back:
      break;
  }
  return {};
}

bool in_quiet_hours(const Plan& plan, Instant t) {
  const Span time = to_local(t, plan.zone).since_midnight;
  if (plan.quiet_from <= plan.quiet_to) return time >= plan.quiet_from && time < plan.quiet_to;
  return time >= plan.quiet_from || time < plan.quiet_to;
}

}  // namespace

void append_notice(std::string& out, const Notice& notice) {
  JsonObject object(out);
  const auto text = [&](std::string_view key, const std::string& value) {
    if (!value.empty()) object.text(key, value);
  };
  text("id", notice.id);
  object.instant("at", notice.at);
  text("about", notice.about);
  text("event", notice.event);
  text("rule", notice.rule);
  text("reminder", notice.reminder);
  text("gear", notice.gear);
  if (notice.priority) object.text("priority", name_of(*notice.priority));
  text("title", notice.title);
  text("message", notice.message);
  if (notice.respond_by) object.instant("respond_by", *notice.respond_by);
  text("evidence", notice.evidence);
  object.end();
}

std::vector<Notice> Notices::step(const World& world, const std::vector<Event>& events) {
  std::vector<Notice> out;
  for (const Event& event : events) take(world, event, out);
  repeat(world, out);
  if (!waiting_.empty()) {
    if (release_at_ == never) release_at_ = release_after(world.now);
    if (release_at_ <= world.now) release(world, out);
  }
  for (Notice& notice : out) notice.title = shortened(notice.title, limits::notice_title_characters);
  return out;
}

Instant Notices::next_deadline() const {
  Instant next = waiting_.empty() ? never : release_at_;
  for (const auto& [id, repeat] : repeats_) next = std::min(next, repeat.next);
  return next;
}

// At once while the day has had no notice yet and may have one; else at the hour of the next.
Instant Notices::release_after(Instant now) const {
  const Plan& plan = *plan_;
  const bool had_one = sent_on_ != Instant{} && local_day(sent_on_, plan.zone) == local_day(now, plan.zone);
  const bool early = to_local(now, plan.zone).since_midnight < plan.notices_at;
  if (!had_one && !early && !in_quiet_hours(plan, now)) return now;
  Instant next = next_local(now, plan.notices_at, plan.zone);
  if (in_quiet_hours(plan, next)) next = next_local(next, plan.quiet_to, plan.zone);
  return next;
}

void Notices::withdraw(const std::string& id) {
  std::erase_if(waiting_, [&](const Item& item) { return item.id == id; });
  if (waiting_.empty()) release_at_ = never;
}

void Notices::take(const World& world, const Event& event, std::vector<Notice>& out) {
  switch (event.kind) {
    case EventKind::alarm_raised:
    case EventKind::alarm_cleared:
      take_alarm(world, event, out);
      break;
    case EventKind::alarm_acknowledged:
    case EventKind::alarm_shelved:
    case EventKind::alarm_suppressed:
      withdraw(event.id);
      if (event.kind == EventKind::alarm_acknowledged) repeats_.erase(event.id);
      break;
    case EventKind::reminder_due:
    case EventKind::reminder_overdue: {
      withdraw(event.id);
      std::string title = world.plan->site_name;
      const std::uint32_t gear = world.plan->find_entity(event.gear);
      if (gear != no_index) title = world.entity(gear).name;
      title = (event.kind == EventKind::reminder_due ? "To do: " : "Overdue: ") + title;
      waiting_.push_back({event.id, "reminder", event_word(event.kind), event.reminder, event.gear, std::move(title),
                          event.message, event.priority.value_or(Priority::low), Instant{}});
      break;
    }
    case EventKind::reminder_done:
    case EventKind::reminder_skipped:
      withdraw(event.id);
      break;
    case EventKind::digest: {
      const std::string id = "digest/" + world.plan->site_id + "/" + format_rfc3339(event.at);
      if (in_quiet_hours(*plan_, world.now)) {
        waiting_.push_back({id, "digest", "digest", "", event.gear, event.title, event.message, Priority::low, {}});
        break;
      }
      out.push_back({id, world.now, "digest", "digest", "", "", event.gear, {}, event.title, event.message, {}, ""});
      break;
    }
    case EventKind::alarm_unshelved:
    case EventKind::alarm_unsuppressed:
    case EventKind::gear_taken_out:
    case EventKind::gear_put_back:
    case EventKind::hand_reading:
    case EventKind::act:
    case EventKind::command_refused:
    case EventKind::reading_rejected:
    case EventKind::sensor_silent:
    case EventKind::sensor_back:
      break;
  }
}

void Notices::take_alarm(const World& world, const Event& event, std::vector<Notice>& out) {
  const Priority priority = event.priority.value_or(Priority::medium);
  const bool raised = event.kind == EventKind::alarm_raised;
  const bool was_waiting =
      std::ranges::any_of(waiting_, [&](const Item& item) { return item.id == event.id && item.event == "raised"; });
  withdraw(event.id);
  const std::uint32_t alarm = find_alarm(*world.plan, event.rule, event.gear);
  std::string message = event.message;
  if (raised) {
    message += by_when(world, event.respond_by.value_or(Instant{}));
    if (alarm != no_index) message += source_of(world, alarm);
  } else {
    repeats_.erase(event.id);
    if (was_waiting) return;  // nobody heard of it
    message = event.reason == "cleared" ? "It is over." : "It is watched no longer: " + event.reason + ".";
  }
  if (!is_urgent(priority)) {
    const bool again = raised && alarm != no_index && world.alarms[alarm].first_raised < event.at;
    if (again) return;
    waiting_.push_back({event.id, "alarm", event_word(event.kind), event.rule, event.gear, event.title,
                        std::move(message), priority, event.respond_by.value_or(Instant{})});
    return;
  }
  Notice notice{event.id + (raised ? "/raised/" : "/cleared/") + format_rfc3339(event.at),
                world.now,
                "alarm",
                event_word(event.kind),
                event.rule,
                "",
                event.gear,
                priority,
                raised ? event.title : "Over: " + event.title,
                std::move(message),
                event.respond_by,
                raised ? "fresh" : ""};
  out.push_back(std::move(notice));
  if (raised && priority == Priority::critical) repeats_[event.id] = {0, world.now + limits::first_repeat};
}

void Notices::repeat(const World& world, std::vector<Notice>& out) {
  for (auto at = repeats_.begin(); at != repeats_.end();) {
    auto& [id, repeat] = *at;
    if (repeat.next > world.now) {
      ++at;
      continue;
    }
    const auto found = std::ranges::find_if(world.alarms, [&id = id](const AlarmState& a) { return a.id == id; });
    if (found == world.alarms.end() || found->life != AlarmLife::unacknowledged) {
      at = repeats_.erase(at);
      continue;
    }
    const auto index = static_cast<std::uint32_t>(found - world.alarms.begin());
    const AlarmSpec& spec = world.plan->alarms[index];
    const bool hidden =
        found->suppressed || found->shelved_until > world.now || world.entities[spec.entity].out_of_service;
    if (!hidden) {
      ++repeat.said;
      out.push_back({id + "/repeated/" + std::to_string(repeat.said), world.now, "alarm", "repeated",
                     world.plan->rules[spec.rule].name, "", world.entity(spec.entity).id, Priority::critical,
                     found->title, found->message + by_when(world, found->respond_by) + source_of(world, index),
                     found->respond_by == Instant{} ? std::optional<Instant>() : found->respond_by,
                     stale_since(world, index) ? "stale" : "fresh"});
    }
    repeat.next = world.now + (repeat.said == 0   ? Span(limits::first_repeat)
                               : repeat.said == 1 ? limits::second_repeat - limits::first_repeat
                                                  : Span(limits::further_repeats));
    ++at;
  }
}

void Notices::release(const World& world, std::vector<Notice>& out) {
  // The most urgent first; of equal ones in the order they came.
  std::ranges::stable_sort(waiting_, [](const Item& a, const Item& b) { return a.priority > b.priority; });
  const Item& first = waiting_.front();
  Notice notice{first.id + "/" + first.event,
                world.now,
                first.about,
                first.event,
                "",
                "",
                first.gear,
                first.priority,
                first.title,
                first.message,
                {},
                ""};
  (first.about == "alarm" ? notice.rule : notice.reminder) = first.name;
  if (first.about == "digest") notice.reminder.clear();
  if (first.respond_by != Instant{}) notice.respond_by = first.respond_by;
  if (waiting_.size() > 1) {
    notice.id = "day/" + world.plan->site_id + "/" + format_rfc3339(world.now);
    notice.title = fmt::format("{}: {} things", world.plan->site_name, waiting_.size());
    notice.message.clear();
    for (const Item& item : waiting_) {
      if (!notice.message.empty()) notice.message += '\n';
      notice.message += item.about == "reminder" ? item.message : item.title + ". " + item.message;
      if (item.respond_by != Instant{}) {
        notice.respond_by = notice.respond_by ? std::min(*notice.respond_by, item.respond_by) : item.respond_by;
      }
    }
  }
  out.push_back(std::move(notice));
  waiting_.clear();
  release_at_ = never;
  sent_on_ = world.now;
}

}  // namespace overwinter
