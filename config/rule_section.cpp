// rules: alarms of the plan, one for each rule and entity.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "config/conditions.h"
#include "config/later_names.h"
#include "config/rests.h"
#include "rules/language/source.h"
#include "rules/quantity/in_words.h"

namespace overwinter {
namespace {

std::vector<std::string> read_suppressed_by(const Definition& definition, const Definitions& definitions,
                                            Draft& draft) {
  const YamlNode* node = definition.find("suppressed_by");
  if (!node) return {};
  const auto names = definitions.names(Definition::What::rule);
  std::vector<std::string> found;
  const auto add = [&](const YamlNode& item) {
    const auto name = read_text(item, draft.report);
    if (!name) return;
    if (*name == definition.name) {
      draft.report.error(item, "a rule cannot suppress itself");
    } else if (is_later_rule(*name)) {
      draft.report.warning(item, fmt::format("this version has no rule {} yet: it suppresses nothing", quote(*name)),
                           "the kind of gear that it watches comes with a later version");
    } else if (std::ranges::find(names, *name) == names.end()) {
      std::vector<std::string_view> others = names;
      std::erase(others, definition.name);
      draft.report.error(item, fmt::format("there is no rule {}", quote(*name)), suggestion(*name, others));
    } else {
      found.push_back(*name);
    }
  };
  if (node->is_sequence()) {
    for (const YamlNode& item : node->items) add(item);
  } else {
    add(*node);
  }
  return found;
}

RuleSpec read_rule_spec(const Definition& definition, const Definitions& definitions, Draft& draft) {
  RuleSpec spec;
  spec.name = definition.name;
  spec.was = was_of(definition, draft);
  spec.on_delay = duration_of(definition, "on_delay", draft).value_or(Span{});
  spec.off_delay = duration_of(definition, "off_delay", draft).value_or(Span{});
  spec.priority = priority_of(definition, Priority::medium, draft);
  spec.season = season_of(definition, draft);
  spec.suppressed_by = read_suppressed_by(definition, definitions, draft);
  spec.consequence = text_of(definition, "consequence", draft);
  spec.response = text_of(definition, "response", draft);
  spec.why = text_of(definition, "why", draft);
  spec.respond_within = duration_of(definition, "respond_within", draft);
  std::tie(spec.file, spec.line) = place_of(definition, draft);
  return spec;
}

void read_alarm(const Definition& definition, const PlanScope& scope, Draft& draft, AlarmSpec& alarm) {
  Conditions conditions(definition, scope, draft);
  alarm.raise = conditions.condition("raise_when");
  alarm.clear = conditions.condition("clear_when");
  alarm.title = conditions.message("title", "{name}: " + in_words(definition.name));
  alarm.message = conditions.message("message", "{name}");
}

void warn_of_chatter(const Definition& definition, const AlarmSpec& alarm, Draft& draft) {
  const RuleSpec& rule = draft.plan.rules[alarm.rule];
  if (definition.find("clear_when") || rule.off_delay > Span{}) return;
  draft.report.warning(*definition.name_key,
                       fmt::format("{} has neither clear_when nor off_delay: it may chatter", rule.name),
                       "clear at a limit some way back, or add off_delay: 30 min");
}

void read_rule(const Definition& definition, const Definitions& definitions, Draft& draft) {
  check_required(definition, draft);
  const RuleSpec spec = read_rule_spec(definition, definitions, draft);
  const WithNumbers with(definition, draft);
  const bool wanted = enabled(definition, draft);
  const YamlNode* applies_to = definition.find("applies_to");
  const auto targets = applies_to ? read_targets(applies_to, draft) : std::nullopt;
  if (!targets || !definition.find("raise_when")) return;
  warn_of_others(definition, *targets, draft);
  if (targets->entities.empty() && targets->sample) {
    const std::vector<WithNumber> numbers = with.of({});
    AlarmSpec unused;
    const PlanScope scope(draft.plan, *targets->sample, numbers);
    Conditions(definition, scope, draft).condition("where");
    read_alarm(definition, scope, draft, unused);
    return;
  }
  const auto rule = static_cast<std::uint32_t>(draft.plan.rules.size());
  draft.plan.rules.push_back(spec);
  bool warned = false;
  for (const std::uint32_t entity : targets->entities) {
    const std::vector<WithNumber> numbers = with.of(draft.plan.entities[entity].id);
    const PlanScope scope(draft.plan, entity, numbers);
    const bool applies = Conditions(definition, scope, draft).applies();
    AlarmSpec alarm;
    alarm.rule = rule;
    alarm.entity = entity;
    read_alarm(definition, scope, draft, alarm);
    if (!applies || !wanted) continue;
    fill_slots(draft.plan, alarm);
    for (Program* program : {&alarm.raise, &alarm.clear}) fill_stale_after(draft.plan, *program);
    for (MessageTemplate* message : {&alarm.title, &alarm.message}) {
      for (MessageTemplate::Part& part : message->parts) fill_stale_after(draft.plan, part.program);
    }
    if (!warned) warn_of_chatter(definition, alarm, draft);
    warned = true;
    draft.plan.alarms.push_back(std::move(alarm));
  }
}

// The gateways of each entity's sensors.
std::vector<std::vector<std::uint32_t>> gateways_of_entities(const Plan& plan) {
  std::vector<std::vector<std::uint32_t>> gateways(plan.entities.size());
  for (const Sensor& sensor : plan.sensors) {
    if (sensor.via != no_index) gateways[plan.slots[sensor.slot].entity].push_back(sensor.via);
  }
  return gateways;
}

// The alarms of one rule stand together, in the order of their entities.
void add_suppressing(const Plan& plan, std::uint32_t rule, const std::set<std::uint32_t>& around, AlarmSpec& alarm) {
  const auto of_rule = std::ranges::equal_range(plan.alarms, rule, {}, &AlarmSpec::rule);
  for (const std::uint32_t entity : around) {
    const auto by = std::ranges::lower_bound(of_rule, entity, {}, &AlarmSpec::entity);
    if (by == of_rule.end() || by->entity != entity) continue;
    alarm.suppressed_by.push_back(static_cast<std::uint32_t>(by - plan.alarms.begin()));
  }
}

// An alarm is explained by one on itself, its place, the gateways of its sensors, the site.
void resolve_suppression(Plan& plan) {
  const std::vector<std::vector<std::uint32_t>> gateways = gateways_of_entities(plan);
  for (AlarmSpec& alarm : plan.alarms) {
    const std::vector<std::string>& names = plan.rules[alarm.rule].suppressed_by;
    if (names.empty()) continue;
    std::set<std::uint32_t> around(gateways[alarm.entity].begin(), gateways[alarm.entity].end());
    around.insert({0, alarm.entity});
    if (const std::uint32_t place = plan.entities[alarm.entity].place; place != no_index) around.insert(place);
    for (std::uint32_t rule = 0; rule < plan.rules.size(); ++rule) {
      if (std::ranges::find(names, plan.rules[rule].name) != names.end()) add_suppressing(plan, rule, around, alarm);
    }
  }
}

bool suppresses_itself(const Plan& plan, std::uint32_t alarm) {
  std::vector<std::uint32_t> above = plan.alarms[alarm].suppressed_by;
  for (std::size_t i = 0; i < above.size(); ++i) {  // it grows
    if (above[i] == alarm) return true;
    for (const std::uint32_t by : plan.alarms[above[i]].suppressed_by) {
      if (std::ranges::find(above, by) == above.end()) above.push_back(by);
    }
  }
  return false;
}

// Active together they would all be suppressed, and nobody would hear of any.
void refuse_circles(const Definitions& definitions, Draft& draft) {
  const Plan& plan = draft.plan;
  for (const Definition& definition : definitions.all()) {
    const YamlNode* by = definition.find("suppressed_by");
    if (!by) continue;
    for (std::uint32_t i = 0; i < plan.alarms.size(); ++i) {
      if (plan.rules[plan.alarms[i].rule].name != definition.name || !suppresses_itself(plan, i)) continue;
      draft.report.error(*by, fmt::format("{} is suppressed by a rule that it suppresses itself", definition.name),
                         "active together, nobody would hear of either: leave one of the two out");
      break;
    }
  }
}

}  // namespace

void read_rules(const Definitions& definitions, Draft& draft) {
  for (const Definition& definition : definitions.all()) {
    if (definition.what == Definition::What::rule) read_rule(definition, definitions, draft);
  }
  resolve_suppression(draft.plan);
  refuse_circles(definitions, draft);
}

}  // namespace overwinter
