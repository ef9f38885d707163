#include "daemon/notices.h"

#include <fmt/format.h>

#include <algorithm>
#include <tuple>

#include "daemon/json_text.h"
#include "daemon/notice_text.h"
#include "rules/engine/evidence.h"
#include "rules/engine/reminder.h"
#include "rules/limits.h"
#include "rules/quantity/characters.h"
#include "rules/quantity/print.h"

namespace overwinter {
namespace {

bool is_urgent(Priority priority) { return priority >= Priority::high; }

bool in_quiet_hours(const Plan& plan, Span time) {
  if (plan.quiet_from <= plan.quiet_to) return time >= plan.quiet_from && time < plan.quiet_to;
  return time >= plan.quiet_from || time < plan.quiet_to;
}

bool is_hidden(const World& world, std::uint32_t alarm) {
  const AlarmState& a = world.alarms[alarm];
  return a.suppressed || a.shelved_until > world.now;
}

std::uint32_t alarm_of_id(const World& world, const std::string& id) {
  const auto found = std::ranges::find_if(world.alarms, [&](const AlarmState& a) { return a.id == id; });
  return found == world.alarms.end() ? no_index : static_cast<std::uint32_t>(found - world.alarms.begin());
}

// Still asked for: its gear is in service, and it is its season. no_index: it is not.
std::uint32_t open_reminder(const World& world, const std::string& reminder, const std::string& gear) {
  const std::vector<std::uint32_t> all = find_reminders(*world.plan, reminder, gear);
  const auto open = std::ranges::find_if(all, [&](std::uint32_t index) { return is_open(world.reminders[index]); });
  return open == all.end() ? no_index : *open;
}

bool holds_any_case(std::string_view text, std::string_view part) {
  return !std::ranges::search(text, part, {}, lower_case, lower_case).empty();
}

// "Left front tire: " before the message of a reminder among others, which does not name its gear. What is about the
// site stands under the site's name.
std::string subject_of(const World& world, const std::string& gear, const std::string& message) {
  const std::uint32_t entity = world.plan->find_entity(gear);
  if (entity == no_index || entity == 0 || holds_any_case(message, world.entity(entity).name)) return {};
  return as_sentence(world.entity(entity).name) + ": ";
}

// What nobody could hear since makes the news of that week old.
std::string told_late(const World& world, Instant week_ended) {
  const Gap& gap = world.gap;
  if (gap.until <= week_ended) return {};
  const auto date = [&world](Instant t) { return print_date(t, world.plan->units, world.plan->zone, world.now); };
  return fmt::format("This comes late: nothing could be heard from {} to {}. The week to {}: ", date(gap.from),
                     date(gap.until), date(week_ended));
}

std::string evidence_of(const World& world, std::uint32_t alarm) {
  return stale_since(world, alarm) ? "stale" : "fresh";
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
  const auto is_digest = [](const Event& event) { return event.kind == EventKind::digest; };
  const auto newest = std::find_if(events.rbegin(), events.rend(), is_digest);
  for (const Event& event : events) {
    if (!is_digest(event) || &event == &*newest) take(world, event, out);  // of the weeks of a gap one is enough
  }
  let_digest_go(world, out);
  repeat(world, out);
  if (waiting_.empty()) {
    release_at_ = never;
  } else {
    const bool is_quiet = in_quiet_hours(*plan_, to_local(world.now, plan_->zone).since_midnight);
    // What was to leave in a downtime leaves after the night in which that ends.
    if (release_at_ == never || (release_at_ <= world.now && is_quiet)) release_at_ = release_after(world.now);
    if (release_at_ <= world.now) release(world, out);
  }
  if (!events.empty()) {
    std::erase_if(heard_, [&](const auto& heard) { return alarm_of_id(world, heard.first) == no_index; });
  }
  for (Notice& notice : out) notice.title = shortened(notice.title, limits::notice_title_characters);
  return out;
}

std::vector<Notice> Notices::step_anew(const World& world, const std::vector<Event>& alarms) {
  for (const Event& alarm : alarms) {
    if (alarm.kind == EventKind::alarm_cleared) hear(alarm.id);
  }
  return step(world, alarms);
}

Instant Notices::next_deadline() const {
  Instant next = waiting_.empty() ? never : release_at_;
  for (const auto& [id, repeat] : repeats_) {
    if (!repeat.held) next = std::min(next, repeat.next);
  }
  return next;
}

// At once while the day has had no notice yet and may have one; else at the hour of the next.
Instant Notices::release_after(Instant now) const {
  const Plan& plan = *plan_;
  const Span hour = in_quiet_hours(plan, plan.notices_at) ? plan.quiet_to : plan.notices_at;
  const Span time = to_local(now, plan.zone).since_midnight;
  const bool had_one = sent_on_ != Instant{} && local_day(sent_on_, plan.zone) == local_day(now, plan.zone);
  if (!had_one && time >= hour && !in_quiet_hours(plan, time)) return now;
  return next_local(now, hour, plan.zone);
}

void Notices::withdraw(const std::string& id) {
  const auto is = [&](const Item& item) { return item.id == id; };
  std::erase_if(waiting_, is);
  std::erase_if(held_, is);
}

// By its name: its id holds the one that it was told under.
void Notices::withdraw_reminder(const Event& event) {
  std::erase_if(waiting_, [&](const Item& item) {
    return item.about == "reminder" && item.name == event.reminder && item.gear == event.gear;
  });
}

void Notices::take_up_reload() {
  release_at_ = never;  // made anew in the next step
  for (std::vector<Item>* items : {&waiting_, &held_}) {
    for (Item& item : *items) {
      item.gear = plan_->present_gear(item.gear);
      if (item.about == "alarm") item.name = plan_->present_rule(item.name, item.gear);
      if (item.about == "reminder") item.name = plan_->present_reminder(item.name, item.gear);
    }
  }
}

void Notices::hold(const std::string& id) {
  const auto rest = std::ranges::stable_partition(waiting_, [&](const Item& item) { return item.id != id; });
  held_.insert(held_.end(), rest.begin(), rest.end());
  waiting_.erase(rest.begin(), rest.end());
}

void Notices::let_go(const World& world, const std::string& id) {
  const std::uint32_t alarm = alarm_of_id(world, id);
  if (alarm == no_index || is_hidden(world, alarm)) return;
  const auto rest = std::ranges::stable_partition(held_, [&](const Item& item) { return item.id != id; });
  waiting_.insert(waiting_.end(), rest.begin(), rest.end());
  held_.erase(rest.begin(), rest.end());
}

void Notices::take(const World& world, const Event& event, std::vector<Notice>& out) {
  switch (event.kind) {
    case EventKind::alarm_raised:
      take_raised(world, event, out);
      break;
    case EventKind::alarm_cleared:
      take_cleared(world, event, out);
      break;
    case EventKind::alarm_acknowledged:
      withdraw(event.id);
      break;
    case EventKind::alarm_shelved:
    case EventKind::alarm_suppressed:
      hold(event.id);
      break;
    case EventKind::alarm_unshelved:
    case EventKind::alarm_unsuppressed:
      let_go(world, event.id);
      break;
    case EventKind::reminder_due:
    case EventKind::reminder_overdue:
      take_reminder(event);
      break;
    case EventKind::reminder_done:
    case EventKind::reminder_skipped:
      withdraw_reminder(event);
      break;
    case EventKind::digest:
      take_digest(event);
      break;
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

void Notices::take_raised(const World& world, const Event& event, std::vector<Notice>& out) {
  const Priority priority = event.priority.value_or(Priority::medium);
  const Item item{event.id, "alarm", "raised", event.rule, event.gear, event.title, event.message, event.at, priority};
  withdraw(event.id);
  if (is_urgent(priority)) {
    out.push_back(notice_of(world, item));
    hear(event.id);
    if (priority == Priority::critical) repeats_[event.id] = {0, world.now + limits::first_repeat, false};
  } else if (!heard_.contains(event.id)) {  // raised again with its old id it is no news
    waiting_.push_back(item);
  }
}

void Notices::take_cleared(const World& world, const Event& event, std::vector<Notice>& out) {
  const Priority priority = event.priority.value_or(Priority::medium);
  withdraw(event.id);
  repeats_.erase(event.id);
  const auto heard = heard_.find(event.id);
  if (heard == heard_.end() || !heard->second.stands) return;
  const Item item{event.id, "alarm", "cleared", event.rule, event.gear, event.title, event.reason, event.at, priority};
  if (is_urgent(priority)) {
    out.push_back(notice_of(world, item));
    heard->second.stands = false;
  } else {
    waiting_.push_back(item);
  }
}

void Notices::take_reminder(const Event& event) {
  const char* what = event.kind == EventKind::reminder_due ? "due" : "overdue";
  withdraw_reminder(event);
  const Priority priority = event.priority.value_or(Priority::low);
  waiting_.push_back({event.id, "reminder", what, event.reminder, event.gear, {}, {}, event.at, priority});
}

void Notices::take_digest(const Event& event) {
  const std::string message = with_short_first_sentence(event.message, limits::notice_sentence_characters);
  const Item item{"digest/" + plan_->site_id, "digest", "digest", {}, event.gear, event.title, message, event.at, {}};
  withdraw(item.id);
  held_.push_back(item);
}

// The broker carries it: while that cannot be reached it stays here, and says why it is late when it leaves.
void Notices::let_digest_go(const World& world, std::vector<Notice>& out) {
  const auto digest = std::ranges::find(held_, "digest", &Item::about);
  if (!world.link_up || digest == held_.end()) return;
  if (in_quiet_hours(*plan_, to_local(world.now, plan_->zone).since_midnight)) {
    waiting_.push_back(*digest);
  } else {
    out.push_back(notice_of(world, *digest));
  }
  held_.erase(digest);
}

void Notices::repeat(const World& world, std::vector<Notice>& out) {
  for (auto at = repeats_.begin(); at != repeats_.end();) {
    auto& [id, repeat] = *at;
    const std::uint32_t alarm = alarm_of_id(world, id);
    if (alarm == no_index || world.alarms[alarm].life != AlarmLife::unacknowledged) {
      at = repeats_.erase(at);
      continue;
    }
    ++at;
    repeat.held = is_hidden(world, alarm);
    if (repeat.held || repeat.next > world.now) continue;
    out.push_back(notice_of(world, {id, "alarm", "repeated", {}, {}, {}, {}, world.now, Priority::critical}));
    ++repeat.said;
    repeat.next = world.now + (repeat.said == 1 ? limits::second_repeat - limits::first_repeat
                                                : std::chrono::hours(limits::further_repeats));
  }
}

// The alarm's names, words, date, source and evidence are those of the moment at which it leaves.
void Notices::describe_alarm(const World& world, const Item& item, Notice& notice) {
  notice.rule = item.name;
  notice.title = item.title;
  const bool is_over = item.event == "cleared";
  notice.message = is_over ? text_of_end(item.message) : item.message;
  const std::uint32_t alarm = alarm_of_id(world, item.id);
  if (alarm != no_index) {
    const AlarmState& a = world.alarms[alarm];
    const AlarmSpec& spec = world.plan->alarms[alarm];
    notice.rule = world.plan->rules[spec.rule].name;
    notice.gear = world.entity(spec.entity).id;
    notice.title = a.title;
    if (!is_over) {
      notice.message = text_of_alarm(world, alarm, a.message);
      if (a.respond_by != Instant{}) notice.respond_by = a.respond_by;
      notice.evidence = evidence_of(world, alarm);
    }
  }
  if (is_over) notice.title = title_of_end(item.message, notice.title);
}

void Notices::describe_reminder(const World& world, const Item& item, Notice& notice) {
  notice.reminder = item.name;
  const std::uint32_t reminder = open_reminder(world, item.name, item.gear);
  if (reminder == no_index) return;
  const bool is_overdue = item.event == "overdue";
  notice.title = title_of_reminder(world, reminder, is_overdue);
  notice.message = text_of_reminder(world, reminder, is_overdue, item.at);
}

Notice Notices::notice_of(const World& world, const Item& item) const {
  Notice notice;
  notice.id = item.id + "/" + item.event + "/" + format_rfc3339(item.at);
  notice.at = world.now;
  notice.about = item.about;
  notice.event = item.event;
  notice.gear = item.gear;
  if (item.about == "digest") {
    notice.title = item.title;
    notice.message = told_late(world, item.at) + item.message;
    return notice;
  }
  notice.priority = item.priority;
  if (item.about == "alarm") {
    describe_alarm(world, item, notice);
  } else {
    describe_reminder(world, item, notice);
  }
  return notice;
}

void Notices::release(const World& world, std::vector<Notice>& out) {
  std::erase_if(waiting_, [&](const Item& item) {
    return item.about == "reminder" && open_reminder(world, item.name, item.gear) == no_index;
  });
  // The most urgent first, a digest last; of equal ones what is over last, and else in the order they came.
  const auto order = [](const Item& item) {
    return std::tuple(item.about == "digest", -static_cast<int>(item.priority), item.event == "cleared");
  };
  std::ranges::stable_sort(waiting_, {}, order);
  const std::vector<Item> items = std::exchange(waiting_, {});
  release_at_ = never;
  if (items.empty()) return;
  sent_on_ = world.now;
  Notice notice = notice_of(world, items.front());
  for (const Item& item : items) {
    if (item.about != "alarm") continue;
    if (item.event == "raised") hear(item.id);
    if (const auto heard = heard_.find(item.id); item.event == "cleared" && heard != heard_.end()) {
      heard->second.stands = false;
    }
  }
  if (items.size() > 1) {
    notice.id = "day/" + plan_->site_id + "/" + format_rfc3339(world.now);
    notice.title = fmt::format("{}: {} things", plan_->site_name, items.size());
    notice.message.clear();
    notice.rule = notice.reminder = notice.gear = notice.evidence = {};
    for (const Item& item : items) {
      const Notice one = notice_of(world, item);
      if (!notice.message.empty()) notice.message += '\n';
      if (item.event == "overdue") notice.message += "Overdue: ";
      notice.message += item.about == "reminder" ? subject_of(world, item.gear, one.message) : one.title + ". ";
      notice.message += one.message;
      if (one.respond_by) notice.respond_by = std::min(notice.respond_by.value_or(never), *one.respond_by);
    }
  }
  out.push_back(std::move(notice));
}

}  // namespace overwinter
