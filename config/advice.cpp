#include "config/advice.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "config/rests.h"

namespace overwinter {
namespace {

void advise_about_site(const YamlNode& root, Draft& draft) {
  const Plan& plan = draft.plan;
  const YamlNode* site = find_key(root, "site");
  if (!plan.altitude_given && site) {
    draft.report.warning(
        *site, "no `altitude`: the site is taken to be at sea level",
        "without a barometer each 100 m off costs 1.2 kPa (0.17 psi) of every tire's expected pressure, "
        "and sea_level_pressure is reduced wrongly");
  }
  if (plan.outdoors != no_index && !draft.entity_keys[plan.outdoors]) {
    const YamlNode* places = find_key(root, "places");
    const YamlNode* at = places ? places : site;
    if (at) {
      draft.report.warning(*at, "no place `outdoors`: what needs the outdoor air is unknown",
                           "add outdoors under places, with a temperature");
    }
  }
  const bool waits_for_season = std::ranges::any_of(plan.reminder_defs, [](const ReminderDef& def) {
    return def.anchor == ReminderDef::Anchor::lay_up || def.anchor == ReminderDef::Anchor::return_to_service;
  });
  if (waits_for_season && !find(root, "season") && site) {
    draft.report.warning(*site, "no `season`: the reminders of the lay-up and of the return are never due",
                         "write season: {lay_up: DATE, return_to_service: DATE}, or tell the dates later");
  }
  for (std::size_t i = 0; i < plan.entities.size(); ++i) {
    const Entity& entity = plan.entities[i];
    if (entity.kind->name == "propane_cylinder" && entity.place != plan.outdoors && draft.entity_keys[i]) {
      draft.report.warning(
          *draft.entity_keys[i], fmt::format("{} does not stand outdoors", entity.id),
          "propane is heavier than air and gathers indoors: keep cylinders outdoors, as their label and the "
          "local codes say");
    }
  }
}

std::string join(const std::set<std::string>& words) {
  std::string text;
  for (const std::string& word : words) text += (text.empty() ? "" : ", ") + word;
  return text;
}

// "pressure", or of another entity "outdoors.temperature".
std::string name_of_slot(const Plan& plan, std::uint32_t slot, std::uint32_t entity) {
  const Slot& s = plan.slots[slot];
  const std::string name(plan.slot_name(slot));
  return s.entity == entity ? name : fmt::format("{}.{}", plan.entities[s.entity].id, name);
}

// Rules that ship: one line for each piece of gear. One's own: each told by itself.
void advise_about_rules(const Definitions& definitions, Draft& draft) {
  const Plan& plan = draft.plan;
  std::map<std::string_view, const Definition*> by_name;
  for (const Definition& d : definitions.all()) by_name[d.name] = &d;
  struct Silent {
    std::set<std::string> rules, missing;
  };
  std::map<std::uint32_t, Silent> standard;  // by entity
  for (const AlarmSpec& alarm : plan.alarms) {
    std::set<std::string> missing;
    for (const std::uint32_t slot : never_known_because(plan, alarm.raise)) {
      const bool is_outdoors = plan.slots[slot].entity == plan.outdoors && !draft.entity_keys[plan.outdoors];
      if (!is_outdoors) missing.insert(name_of_slot(plan, slot, alarm.entity));  // told once, for the site
    }
    if (missing.empty()) continue;
    const Definition& definition = *by_name.at(plan.rules[alarm.rule].name);
    if (definition.standard) {
      Silent& silent = standard[alarm.entity];
      silent.rules.insert(definition.name);
      silent.missing.merge(missing);
      continue;
    }
    draft.report.warning(
        *definition.name_key,
        fmt::format("{} can never be known for {}: no source for {}", definition.name, plan.entities[alarm.entity].id,
                    join(missing)),
        "bind a sensor, say by_hand, give the parameter, or leave this gear out with applies_to or where");
  }
  for (const auto& [entity, silent] : standard) {
    const YamlNode* key = draft.entity_keys[entity];
    if (!key) continue;
    draft.report.warning(*key,
                         fmt::format("{} is not watched by {}: no source for {}", plan.entities[entity].id,
                                     join(silent.rules), join(silent.missing)),
                         "bind a sensor, say by_hand, or give the parameter; without it these rules stay silent");
  }
}

bool has_alarms(const Plan& plan, std::string_view rule) {
  return std::ranges::any_of(plan.alarms, [&](const AlarmSpec& a) { return plan.rules[a.rule].name == rule; });
}

bool suppresses_any(const Plan& plan, std::string_view by, std::string_view rule) {
  const auto is_by = [&](std::uint32_t alarm) { return plan.rules[plan.alarms[alarm].rule].name == by; };
  return std::ranges::any_of(plan.alarms, [&](const AlarmSpec& a) {
    return plan.rules[a.rule].name == rule && std::ranges::any_of(a.suppressed_by, is_by);
  });
}

// A rule that is about other gear suppresses nothing. What ships is left alone: not every site has a gateway.
void advise_about_suppression(const Definition& definition, Draft& draft) {
  const YamlNode* names = definition.find("suppressed_by");
  if (!names || (definition.standard && names->file == definition.name_key->file)) return;
  const auto advise_about = [&](const YamlNode& by) {
    if (!has_alarms(draft.plan, by.text) || suppresses_any(draft.plan, by.text, definition.name)) return;
    draft.report.warning(by,
                         fmt::format("{} is about other gear than {}: it suppresses nothing", by.text, definition.name),
                         "name a rule that applies to the same gear, to its place, to its gateway or to the site");
  };
  if (!has_alarms(draft.plan, definition.name)) return;
  if (names->is_scalar()) advise_about(*names);
  for (const YamlNode& by : names->items) advise_about(by);
}

}  // namespace

void advise(const YamlNode& root, const Definitions& definitions, Draft& draft) {
  advise_about_site(root, draft);
  advise_about_rules(definitions, draft);
  for (const Definition& definition : definitions.all()) advise_about_suppression(definition, draft);
}

}  // namespace overwinter
