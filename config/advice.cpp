#include "config/advice.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>

#include "config/rests.h"
#include "rules/gear/kinds.h"
#include "rules/gear/place.h"

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

// A load counts by its share of the rating.
void advise_about_ratings(Draft& draft) {
  const Plan& plan = draft.plan;
  for (std::uint32_t i = 0; i < plan.entities.size(); ++i) {
    const Entity& entity = plan.entities[i];
    if (entity.kind != &generator_kind() || !draft.entity_keys[i]) continue;
    const bool has_load = plan.slots[entity.quantity_slot(*entity.kind->quantity("load"))].is_brought();
    const bool is_rated = plan.slots[entity.parameter_slot(*entity.kind->parameter("rated_power"))].value.has_value();
    if (!has_load || is_rated) continue;
    draft.report.warning(*draft.entity_keys[i],
                         fmt::format("{} has a load and no `rated_power`: no load proves its exercise", entity.id),
                         "write the rated_power of its plate, or leave the load out: then its running counts");
  }
}

// The barometer of a place tells one of them (SITE).
void advise_about_barometers(Draft& draft) {
  const Plan& plan = draft.plan;
  for (std::uint32_t i = 0; i < plan.entities.size(); ++i) {
    const Entity& entity = plan.entities[i];
    if (entity.kind != &place_kind() || !draft.entity_keys[i]) continue;
    const auto is_brought = [&](PlaceQuantity q) {
      return plan.slots[entity.quantity_slot(static_cast<std::uint8_t>(q))].is_brought();
    };
    if (!is_brought(PlaceQuantity::station_pressure) || !is_brought(PlaceQuantity::sea_level_pressure)) continue;
    draft.report.warning(
        *draft.entity_keys[i],
        fmt::format("{} has both station_pressure and sea_level_pressure: a place takes one", entity.id),
        "the first counts; the second only while the first is silent or looks reduced to sea level");
  }
}

std::string join(const std::set<std::string>& words) {
  std::string text;
  for (const std::string& word : words) text += (text.empty() ? "" : ", ") + word;
  return text;
}

// What a rule lacks, in words.
struct Lack {
  std::set<std::string> sources;
  bool a_place = false;

  bool any() const { return a_place || !sources.empty(); }
  void add(const Lack& other) {
    sources.insert(other.sources.begin(), other.sources.end());
    a_place = a_place || other.a_place;
  }
  std::string in_words() const {
    const std::string no_source = sources.empty() ? "" : "no source for " + join(sources);
    if (!a_place) return no_source;
    return "it stands in no place" + (no_source.empty() ? "" : ", and " + no_source);
  }
  std::string remedy() const {
    const std::string source = sources.empty() ? "" : "bind a sensor, say by_hand or give the parameter";
    if (!a_place) return source;
    return "write its `place:`" + (source.empty() ? "" : ", and " + source);
  }
};

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
    std::set<std::string> rules;
    Lack lack;
  };
  std::map<std::uint32_t, Silent> standard;  // by entity
  for (const AlarmSpec& alarm : plan.alarms) {
    Lack lack;
    for (const std::uint32_t slot : never_true_because(plan, alarm.raise)) {
      const std::uint32_t entity = plan.slots[slot].entity;
      if (plan.is_nowhere(entity)) {
        lack.a_place = true;
      } else if (entity != plan.outdoors || draft.entity_keys[plan.outdoors]) {  // told once, for the site
        lack.sources.insert(name_of_slot(plan, slot, alarm.entity));
      }
    }
    if (!lack.any()) continue;
    const Definition& definition = *by_name.at(plan.rules[alarm.rule].name);
    if (definition.standard) {
      Silent& silent = standard[alarm.entity];
      silent.rules.insert(definition.name);
      silent.lack.add(lack);
      continue;
    }
    draft.report.warning(*definition.name_key,
                         fmt::format("{} can never be true for {}: {}", definition.name, plan.entities[alarm.entity].id,
                                     lack.in_words()),
                         lack.remedy() + ", or leave this gear out with applies_to or where");
  }
  for (const auto& [entity, silent] : standard) {
    const YamlNode* key = draft.entity_keys[entity];
    if (!key) continue;
    draft.report.warning(*key,
                         fmt::format("{} is not watched by {}: {}", plan.entities[entity].id, join(silent.rules),
                                     silent.lack.in_words()),
                         silent.lack.remedy() + "; without it these rules stay silent");
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
  advise_about_barometers(draft);
  advise_about_ratings(draft);
  advise_about_rules(definitions, draft);
  for (const Definition& definition : definitions.all()) advise_about_suppression(definition, draft);
}

}  // namespace overwinter
