#include "daemon/told_alarms.h"

#include <algorithm>
#include <iterator>
#include <tuple>

#include "daemon/json_parser.h"
#include "rules/engine/alarm_event.h"
#include "rules/limits.h"

namespace overwinter {
namespace {

Priority priority_of(std::string_view name) {
  for (const Priority p : {Priority::low, Priority::medium, Priority::high, Priority::critical}) {
    if (name_of(p) == name) return p;
  }
  return Priority::medium;
}

bool has_rule(const Plan& plan, std::string_view rule) {
  return std::ranges::any_of(plan.rules, [&](const RuleSpec& r) { return r.name == rule; });
}

// Each as the event of its beginning, told now.
std::vector<Event> active_alarms(const World& world) {
  std::vector<Event> out;
  for (std::uint32_t i = 0; i < world.alarms.size(); ++i) {
    const AlarmState& a = world.alarms[i];
    if (!a.active() || !a.told) continue;
    Event alarm = alarm_event(world, i, EventKind::alarm_raised);
    alarm.at = world.now;
    out.push_back(std::move(alarm));
  }
  return out;
}

}  // namespace

ToldAlarms::ToldAlarms(const World& world) {
  for (Event& alarm : active_alarms(world)) alarms_[{alarm.rule, alarm.gear}] = std::move(alarm);
}

void ToldAlarms::take(std::string_view event_json) {
  JsonParser parser(limits::payload_bytes, limits::json_depth);
  simdjson::dom::element event;
  if (parser.parse(event_json, event) != nullptr) return;
  const std::string kind = text_member(event, "event");
  Event alarm;
  alarm.rule = text_member(event, "rule");
  alarm.gear = text_member(event, "gear");
  if (kind == name_of(EventKind::alarm_cleared)) alarms_.erase({alarm.rule, alarm.gear});
  if (kind != name_of(EventKind::alarm_raised)) return;
  alarm.id = text_member(event, "id");
  alarm.priority = priority_of(text_member(event, "priority"));
  alarm.title = text_member(event, "title");
  alarms_[{alarm.rule, alarm.gear}] = std::move(alarm);
}

std::vector<Event> ToldAlarms::to_tell(const World& world) const {
  std::vector<Event> out;
  // By the names that gear and rules have now.
  std::map<std::pair<std::string, std::string>, Event> ended;
  for (const auto& [key, alarm] : alarms_) {
    const std::string gear = world.plan->present_gear(key.second);
    ended.emplace(std::pair(world.plan->present_rule(key.first, gear), gear), alarm);
  }
  std::vector<Event> begun;
  for (Event& alarm : active_alarms(world)) {
    if (ended.erase({alarm.rule, alarm.gear}) == 0) begun.push_back(std::move(alarm));
  }
  for (auto& [key, alarm] : ended) {
    std::tie(alarm.rule, alarm.gear) = key;
    alarm.at = world.now;
    alarm.kind = EventKind::alarm_cleared;
    alarm.reason = "cleared";
    if (!has_rule(*world.plan, alarm.rule)) alarm.reason = "rule_removed";
    if (world.plan->find_entity(alarm.gear) == no_index) alarm.reason = "gear_removed";
    out.push_back(std::move(alarm));
  }
  std::ranges::move(begun, std::back_inserter(out));
  return out;
}

}  // namespace overwinter
