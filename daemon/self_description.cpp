#include "daemon/self_description.h"

#include <algorithm>
#include <string>
#include <string_view>
#include <utility>

#include "daemon/json_text.h"
#include "daemon/retained_topics.h"
#include "rules/quantity/in_words.h"
#include "rules/quantity/print.h"

namespace overwinter {
namespace {

using Placeholders = std::vector<std::pair<std::string_view, std::string>>;

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

Placeholders words_of(const Plan& plan, const RetainedTopic& topic) {
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

std::string filled(std::string_view text, const Placeholders& words, bool is_json) {
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = text[at] == '{' ? text.find('}', at) : std::string_view::npos;
    if (end != std::string_view::npos && (at == 0 || text[at - 1] != '{')) {
      const std::string_view key = text.substr(at + 1, end - at - 1);
      const auto found = std::ranges::find(words, key, &Placeholders::value_type::first);
      if (found != words.end()) {
        std::string value = found->second;
        if (is_json) {
          value.clear();
          append_json_text(value, found->second);
          value = value.substr(1, value.size() - 2);
        }
        out += value;
        at = end + 1;
        continue;
      }
    }
    out += text[at++];
  }
  return out;
}

// An object or a list; a text may begin with a placeholder.
bool holds_json(std::string_view text) {
  constexpr std::string_view blank = " \t\r\n";
  const std::size_t first = text.find_first_not_of(blank);
  if (first == std::string_view::npos || text[first] != '{')
    return first != std::string_view::npos && text[first] == '[';
  const std::size_t next = text.find_first_not_of(blank, first + 1);
  return next != std::string_view::npos && (text[next] == '"' || text[next] == '}');
}

// A topic that holds nothing until somebody records a value is not worth finding.
bool is_worth_finding(const Plan& plan, const RetainedTopic& topic) {
  if (topic.of != RetainedTopic::Of::quantity) return true;
  const Slot& slot = plan.slots[topic.index];
  return slot.role != Slot::Role::measured || slot.is_brought();
}

}  // namespace

std::vector<Publication> self_description(const Plan& plan) {
  std::vector<Publication> out;
  if (plan.self_description.empty()) return out;
  const std::vector<RetainedTopic> topics = retained_topics(plan);
  for (const SelfDescription& description : plan.self_description) {
    const bool is_json = holds_json(description.message);
    for (const RetainedTopic& topic : topics) {
      if (topic.of != sort_of(description.what) || !is_worth_finding(plan, topic)) continue;
      const Placeholders words = words_of(plan, topic);
      out.push_back({filled(description.topic, words, false), filled(description.message, words, is_json), true, 1});
    }
  }
  return out;
}

}  // namespace overwinter
