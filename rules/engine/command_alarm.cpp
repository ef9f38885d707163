// acknowledge, shelve, unshelve.
#include <algorithm>

#include "rules/engine/alarm.h"
#include "rules/engine/alarm_event.h"
#include "rules/engine/command.h"
#include "rules/limits.h"
#include "rules/quantity/print.h"
#include "rules/quantity/unit.h"

namespace overwinter {
namespace {

std::string watched_by(const Plan& plan, std::uint32_t entity) {
  std::vector<std::string_view> rules;
  for (const AlarmSpec& a : plan.alarms) {
    if (a.entity == entity) rules.push_back(plan.rules[a.rule].name);
  }
  const std::string& id = plan.entities[entity].id;
  return rules.empty() ? "no rule watches " + id : id + " is watched by " + a_few(rules);
}

std::string watched_instead(const Plan& plan, std::string_view rule, std::uint32_t entity) {
  std::vector<std::string_view> gear;
  for (const AlarmSpec& a : plan.alarms) {
    if (plan.rules[a.rule].name == rule) gear.push_back(plan.entities[a.entity].id);
  }
  return gear.empty() ? watched_by(plan, entity) : "it watches " + a_few(gear);
}

std::uint32_t alarm_of(CommandCall& call) {
  const Plan& plan = *call.world.plan;
  const std::string said = call.text("rule", true);
  const std::uint32_t entity = call.entity();
  if (!call.refused.empty()) return no_index;
  const std::string rule = plan.present_rule(said, plan.entities[entity].id);
  const std::uint32_t alarm = find_alarm(plan, rule, plan.entities[entity].id);
  if (alarm != no_index) return alarm;
  std::vector<std::string_view> names;
  for (const RuleSpec& r : plan.rules) names.push_back(r.name);
  if (std::find(names.begin(), names.end(), rule) != names.end()) {
    call.refuse("the rule '" + rule + "' does not watch '" + plan.entities[entity].id + "'; " +
                watched_instead(plan, rule, entity));
  } else if (const auto near = nearest_word(rule, names)) {
    call.refuse("there is no rule '" + rule + "'; did you mean " + std::string(*near) + "?");
  } else {
    call.refuse("there is no rule '" + rule + "'; " + watched_by(plan, entity));
  }
  return no_index;
}

std::string title_of(const CommandCall& call, std::uint32_t alarm) {
  const AlarmState& a = call.world.alarms[alarm];
  return a.title.empty() ? name_of_alarm(call.world, alarm) : a.title;
}

}  // namespace

void run_acknowledge(CommandCall& call) {
  const std::uint32_t alarm = alarm_of(call);
  if (alarm == no_index) return;
  const std::string why_not = acknowledge_alarm(call.world, alarm, call.by);
  if (!why_not.empty()) return call.refuse(why_not + "; there is nothing to acknowledge");
  call.answer = "Acknowledged: " + title_of(call, alarm) + ".";
}

void run_shelve(CommandCall& call) {
  const std::uint32_t alarm = alarm_of(call);
  if (alarm == no_index) return;
  const bool has_until = call.find("until") != nullptr, has_for = call.find("for") != nullptr;
  if (has_until == has_for)
    return call.refuse("say 'until' (a time) or 'for' (a duration such as \"3 d\"), one of them");
  Instant until{};
  if (has_until) {
    const auto t = call.instant("until");
    if (!t) return;
    until = *t;
  } else {
    const auto span = parse_value_of_type(call.text("for", true), Type::duration(), false, UnitContext::binding);
    if (!span) return call.refuse_member("for", span.error());
    if (*span <= 0 || *span > to_seconds(limits::longest_shelving))
      return call.refuse("'for' must be above 0 and at most 30 d");
    until = call.at + span_from_seconds(*span);
  }
  if (until <= call.world.now) {
    return call.refuse(has_until ? "'until' lies in the past" : "'for' is over already: it counts from 'at'");
  }
  const bool critical = call.world.plan->rules[call.world.plan->alarms[alarm].rule].priority == Priority::critical;
  if (until > call.world.now + limits::longest_shelving) return call.refuse("an alarm is shelved for at most 30 d");
  if (critical && until > call.world.now + limits::longest_shelving_of_critical) {
    return call.refuse("a critical alarm is shelved for at most 24 h");
  }
  shelve_alarm(call.world, alarm, until, call.by, call.text("why", false));
  call.answer = "Shelved until " +
                print_date_and_time(until, call.world.plan->units, call.world.plan->zone, call.world.now) + ": " +
                title_of(call, alarm) + ". It comes back by itself.";
}

void run_unshelve(CommandCall& call) {
  const std::uint32_t alarm = alarm_of(call);
  if (alarm == no_index) return;
  const std::string why_not = unshelve_alarm(call.world, alarm, call.by, {});
  if (!why_not.empty()) return call.refuse(why_not + "; there is nothing to undo");
  call.answer = "Back from the shelf: " + title_of(call, alarm) + ".";
}

}  // namespace overwinter
