#include "config/advice.h"

#include <fmt/format.h>

#include <algorithm>

#include "config/lacks.h"
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
  const YamlNode* season = find(root, "season");
  const bool no_season = !season || season->is_null() || (season->is_map() && season->items.empty());
  if (const YamlNode* at = season ? find_key(root, "season") : site; waits_for_season && no_season && at) {
    draft.report.warning(*at,
                         fmt::format("{} `season`: the reminders of the lay-up and of the return are never due",
                                     season ? "empty" : "no"),
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

// What is set is held to the sidewall's maximum; that the two contradict each other wants a look at both.
void advise_about_sidewalls(Draft& draft) {
  const Plan& plan = draft.plan;
  for (std::uint32_t i = 0; i < plan.entities.size(); ++i) {
    const Entity& entity = plan.entities[i];
    if (entity.kind != &tire_kind() || !draft.entity_keys[i]) continue;
    const auto& cold = plan.slots[entity.parameter_slot(*entity.kind->parameter("cold_pressure"))].value;
    const auto& most = plan.slots[entity.parameter_slot(*entity.kind->parameter("maximum_pressure"))].value;
    if (!cold || !most || *cold <= *most) continue;
    draft.report.warning(
        *draft.entity_keys[i], fmt::format("{} has a `cold_pressure` above its `maximum_pressure`", entity.id),
        "it is never told to be set above the maximum: read that on the sidewall, and the pressure on the vehicle "
        "maker's placard");
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
  advise_about_sidewalls(draft);
  advise_about_lacks(definitions, draft);
  for (const Definition& definition : definitions.all()) advise_about_suppression(definition, draft);
}

}  // namespace overwinter
