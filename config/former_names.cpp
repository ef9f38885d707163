// `was`: an alarm or a reminder goes on with what its gear knew of it under a former name. Two of the same gear that
// claim one name, or one that is still in use, would have to share it. One rule may be split by gear: each part goes on
// with its own.
#include <fmt/format.h>

#include "config/conditions.h"
#include "config/sections.h"
#include "rules/language/source.h"

namespace overwinter {
namespace {

// Of one piece of gear, with the names of what it is of.
struct Named {
  std::uint32_t entity = 0;
  std::string_view name, was;
};

void check(const Definition& definition, const std::vector<Named>& all, Report& report) {
  const YamlNode* was = definition.find("was");
  for (const Named& one : all) {
    if (one.name != definition.name || one.was.empty()) continue;
    for (const Named& other : all) {
      if (other.entity != one.entity || other.name == one.name) continue;
      if (other.name == one.was) {
        return report.error(*was, fmt::format("{} is still in use", quote(one.was)),
                            "`was` names what is no more, or is not enabled");
      }
      if (other.was == one.was) {
        return report.error(*was, fmt::format("{} was {} too", quote(other.name), quote(one.was)),
                            "only one of them goes on with what was known of it");
      }
    }
  }
}

}  // namespace

void check_former_names(const Definitions& definitions, Draft& draft) {
  const Plan& plan = draft.plan;
  std::vector<Named> alarms, reminders;
  for (const AlarmSpec& alarm : plan.alarms) {
    alarms.push_back({alarm.entity, plan.rules[alarm.rule].name, plan.rules[alarm.rule].was});
  }
  for (const ReminderSpec& reminder : plan.reminders) {
    const ReminderDef& def = plan.reminder_defs[reminder.def];
    reminders.push_back({reminder.entity, def.name, def.was});
  }
  for (const Definition& definition : definitions.all()) {
    if (!definition.find("was")) continue;
    check(definition, definition.what == Definition::What::rule ? alarms : reminders, draft.report);
  }
}

}  // namespace overwinter
