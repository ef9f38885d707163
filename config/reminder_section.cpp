// reminders: work that people do, one for each reminder and entity.
#include <fmt/format.h>

#include <algorithm>

#include "config/conditions.h"
#include "config/rests.h"

namespace overwinter {
namespace {

void read_date_of(const YamlNode& node, bool standard, ReminderDef& def, Draft& draft) {
  constexpr std::string_view words[] = {"lay_up", "return_to_service"};
  if (!node.is_scalar() || std::ranges::find(words, node.text) == std::end(words)) {
    def.date = read_date(node, draft.plan.zone, draft.report, words);
    def.anchor = ReminderDef::Anchor::date;
    return;
  }
  const bool lay_up = node.text == "lay_up";
  def.anchor = lay_up ? ReminderDef::Anchor::lay_up : ReminderDef::Anchor::return_to_service;
  if (!standard && (lay_up ? draft.plan.lay_up : draft.plan.return_to_service) == Instant{}) {
    draft.report.warning(node, fmt::format("the site file has no `{}` under `season`: this is never due", node.text));
  }
}

std::vector<std::string> read_list(const Definition& definition, std::string_view key, Draft& draft) {
  const YamlNode* node = definition.find(key);
  if (!node) return {};
  for (const YamlNode& item : node->items) check_not_cut(item, draft);
  return read_texts(*node, false, draft.report).value_or(std::vector<std::string>{});
}

// every, date or due_when: one is required. Two stand in one map, of the definition or of `adjust`, for those of
// another give way: told where the second stands.
void check_when(const Definition& definition, Draft& draft) {
  std::vector<const YamlNode*> given;
  for (const NamedNode& named : definition.keys) {
    const std::string_view key = named.key->text;
    if (key == "every" || key == "date" || key == "due_when") given.push_back(named.key);
  }
  if (given.empty()) {
    draft.report.error(*definition.name_key, fmt::format("{} needs `every`, `date` or `due_when`", definition.name));
  } else if (given.size() > 1) {
    draft.report.error(*given[1], fmt::format("{} has `{}` and `{}`", definition.name, given[0]->text, given[1]->text),
                       "one of every, date and due_when says when it is due");
  }
  if (const YamlNode* first = definition.find("first"); first && !definition.find("every")) {
    draft.report.error(*first, "`first` without `every`", "`date` says when a single one is due");
  }
}

ReminderDef read_def(const Definition& definition, Draft& draft) {
  ReminderDef def;
  def.name = definition.name;
  def.was = was_of(definition, draft);
  if (const YamlNode* node = definition.find("every")) def.every = read_every(*node, draft.report);
  if (const YamlNode* node = definition.find("first")) def.first = read_every(*node, draft.report, true);
  if (const YamlNode* node = definition.find("date")) read_date_of(*node, definition.standard, def, draft);
  def.grace = duration_of(definition, "grace", draft);
  def.priority = priority_of(definition, Priority::low, draft);
  def.season = season_of(definition, draft);
  def.steps = read_list(definition, "steps", draft);
  def.look = read_list(definition, "look", draft);
  def.safety = text_of(definition, "safety", draft);
  def.why = text_of(definition, "why", draft);
  std::tie(def.file, def.line) = place_of(definition, draft);
  return def;
}

void read_reminder_of(const Definition& definition, const PlanScope& scope, Draft& draft, ReminderSpec& spec) {
  Conditions conditions(definition, scope, draft);
  spec.due_when = conditions.condition("due_when");
  spec.done_when = conditions.condition("done_when");
  spec.good_day_when = conditions.condition("good_day_when");
  spec.message = conditions.message("message", "{name}");
}

void read_reminder(const Definition& definition, Draft& draft) {
  check_required(definition, draft);
  check_when(definition, draft);
  const ReminderDef def = read_def(definition, draft);
  const WithNumbers with(definition, draft);
  const bool wanted = enabled(definition, draft);
  const auto targets = read_targets(definition.find("applies_to"), draft);
  if (!targets) return;
  warn_of_others(definition, *targets, draft);
  if (targets->entities.empty() && targets->sample) {
    const std::vector<WithNumber> numbers = with.of({});
    ReminderSpec unused;
    const PlanScope scope(draft.plan, *targets->sample, numbers);
    Conditions(definition, scope, draft).condition("where");
    read_reminder_of(definition, scope, draft, unused);
    return;
  }
  const auto index = static_cast<std::uint32_t>(draft.plan.reminder_defs.size());
  draft.plan.reminder_defs.push_back(def);
  for (const std::uint32_t entity : targets->entities) {
    const std::vector<WithNumber> numbers = with.of(draft.plan.entities[entity].id);
    const PlanScope scope(draft.plan, entity, numbers);
    const bool applies = Conditions(definition, scope, draft).applies();
    ReminderSpec spec;
    spec.def = index;
    spec.entity = entity;
    read_reminder_of(definition, scope, draft, spec);
    if (!applies || !wanted) continue;
    for (Program* program : {&spec.due_when, &spec.done_when, &spec.good_day_when})
      fill_stale_after(draft.plan, *program);
    for (MessageTemplate::Part& part : spec.message.parts) fill_stale_after(draft.plan, part.program);
    draft.plan.reminders.push_back(std::move(spec));
  }
}

}  // namespace

void read_reminders(const Definitions& definitions, Draft& draft) {
  for (const Definition& definition : definitions.all()) {
    if (definition.what == Definition::What::reminder) read_reminder(definition, draft);
  }
}

}  // namespace overwinter
