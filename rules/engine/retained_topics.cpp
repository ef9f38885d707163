#include "rules/engine/retained_topics.h"

#include <algorithm>

#include "rules/engine/wiring.h"

namespace overwinter {
namespace {

bool is_public(const Plan& plan, const Wiring& wiring, std::uint32_t slot) {
  const Slot& spec = plan.slots[slot];
  if (std::ranges::find(plan.publish, slot) != plan.publish.end()) return true;
  switch (spec.role) {
    case Slot::Role::measured:
      return true;  // any may be recorded by hand
    case Slot::Role::computed:
      return !wiring.alarms[slot].empty() || !wiring.reminders[slot].empty();
    case Slot::Role::watch:
    case Slot::Role::parameter:
      break;
  }
  return false;
}

}  // namespace

std::vector<RetainedTopic> retained_topics(const Plan& plan) {
  const Wiring wiring(plan);
  const std::string root = plan.topic_root + "/";
  std::vector<RetainedTopic> topics;
  for (std::uint32_t i = 0; i < plan.alarms.size(); ++i) {
    const AlarmSpec& spec = plan.alarms[i];
    topics.push_back({RetainedTopic::Of::alarm, i,
                      root + "alarm/" + plan.rules[spec.rule].name + "/" + plan.entities[spec.entity].id});
  }
  for (std::uint32_t i = 0; i < plan.reminders.size(); ++i) {
    const ReminderSpec& spec = plan.reminders[i];
    topics.push_back({RetainedTopic::Of::reminder, i,
                      root + "reminder/" + plan.reminder_defs[spec.def].name + "/" + plan.entities[spec.entity].id});
  }
  for (std::uint32_t slot = 0; slot < plan.slots.size(); ++slot) {
    const std::uint32_t entity = plan.slots[slot].entity;
    if (plan.is_nowhere(entity) || !is_public(plan, wiring, slot)) continue;
    const Entity& e = plan.entities[entity];
    const char* level = e.place == entity ? "place/" : "gear/";
    topics.push_back(
        {RetainedTopic::Of::quantity, slot, root + level + e.id + "/" + std::string(plan.slot_name(slot))});
  }
  return topics;
}

}  // namespace overwinter
