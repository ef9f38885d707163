#include "rules/engine/described.h"

#include <algorithm>

#include "rules/quantity/in_words.h"
#include "rules/quantity/print.h"

namespace overwinter {
namespace {

RetainedTopic::Of sort_of(SelfDescription::For what) {
  switch (what) {
    case SelfDescription::For::quantities:
      return RetainedTopic::Of::quantity;
    case SelfDescription::For::alarms:
      return RetainedTopic::Of::alarm;
    case SelfDescription::For::reminders:
      break;
  }
  return RetainedTopic::Of::reminder;
}

}  // namespace

bool describes(const Plan& plan, const SelfDescription& description, const RetainedTopic& topic) {
  if (topic.of != sort_of(description.what)) return false;
  if (topic.of != RetainedTopic::Of::quantity) return true;
  const Slot& slot = plan.slots[topic.index];
  return slot.role != Slot::Role::measured || slot.is_brought();
}

Placeholders placeholders_of(const Plan& plan, const RetainedTopic& topic) {
  std::uint32_t entity = 0;
  Placeholders words;
  const auto named = [&words](std::string_view key, std::string_view name_key, const std::string& name) {
    words.emplace_back(key, name);
    words.emplace_back(name_key, in_words(name));
  };
  switch (topic.of) {
    case RetainedTopic::Of::quantity: {
      const Slot& slot = plan.slots[topic.index];
      entity = slot.entity;
      named("quantity", "quantity_name", std::string(plan.slot_name(topic.index)));
      words.emplace_back("unit", display_unit(slot.type, slot.shown, plan.units).symbol);
      break;
    }
    case RetainedTopic::Of::alarm: {
      const RuleSpec& rule = plan.rules[plan.alarms[topic.index].rule];
      entity = plan.alarms[topic.index].entity;
      named("rule", "rule_name", rule.name);
      words.emplace_back("priority", name_of(rule.priority));
      break;
    }
    case RetainedTopic::Of::reminder: {
      const ReminderDef& def = plan.reminder_defs[plan.reminders[topic.index].def];
      entity = plan.reminders[topic.index].entity;
      named("reminder", "reminder_name", def.name);
      words.emplace_back("priority", name_of(def.priority));
      break;
    }
  }
  std::string unique = topic.name.substr(plan.topic_root.size() + 1);
  std::ranges::replace(unique, '/', '_');
  words.emplace_back("site", plan.site_id);
  words.emplace_back("site_name", plan.site_name);
  words.emplace_back("topic_root", plan.topic_root);
  words.emplace_back("topic", topic.name);
  words.emplace_back("unique", plan.site_id + "_" + unique);
  words.emplace_back("gear", plan.entities[entity].id);
  words.emplace_back("gear_name", entity == 0 ? plan.site_name : plan.entities[entity].name);
  return words;
}

std::string filled(std::string_view text, const Placeholders& words) {
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = text[at] == '{' ? text.find('}', at) : std::string_view::npos;
    if (end != std::string_view::npos && (at == 0 || text[at - 1] != '{')) {
      const auto found = std::ranges::find(words, text.substr(at + 1, end - at - 1), &Placeholders::value_type::first);
      if (found != words.end()) {
        out += found->second;
        at = end + 1;
        continue;
      }
    }
    out += text[at++];
  }
  return out;
}

}  // namespace overwinter
