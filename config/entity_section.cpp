// places and gear: ids, kinds, slots and parameters.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "config/later_names.h"
#include "config/sections.h"
#include "rules/gear/watch.h"
#include "rules/language/source.h"
#include "rules/limits.h"
#include "rules/quantity/in_words.h"

namespace overwinter {
namespace {

std::string_view group_of(std::string_view parameter) { return parameter.substr(0, parameter.find('.')); }

// Words that an id may not be, besides those of the language: a condition would not know which is meant.
bool names_something_else(std::string_view id, const Draft& draft) {
  for (const KindSpec* kind : all_kinds()) {
    for (const QuantitySpec& q : kind->quantities) {
      if (q.name == id) return true;
    }
    for (const ParameterSpec& p : kind->parameters) {
      if (group_of(p.name) == id) return true;
    }
  }
  for (const QuantitySpec& q : watch_quantities()) {
    if (q.name == id) return true;
  }
  return is_later_name(id) || std::ranges::any_of(draft.functions, [&](const Function& f) { return f.name == id; });
}

bool is_free(const YamlNode& key, const Draft& draft) {
  const std::uint32_t other = draft.plan.find_entity(key.text);
  if (other != no_index) {
    const YamlNode* first = draft.entity_keys[other];
    const TextFile* file = first ? &draft.report.file(first->file) : nullptr;
    draft.report.error(key, fmt::format("the id {} is taken", quote(key.text)),
                       file ? fmt::format("first in {}, line {}; the site, its places and its gear share one namespace",
                                          file->name, file->line_at(first->begin))
                            : "the site, its places and its gear share one namespace");
    return false;
  }
  return names_nothing_else(key, draft);
}

void add_slots(Draft& draft, std::uint32_t index) {
  Plan& plan = draft.plan;
  Entity& entity = plan.entities[index];
  const KindSpec& kind = *entity.kind;
  entity.first_slot = static_cast<std::uint32_t>(plan.slots.size());
  entity.tables.resize(kind.parameters.size());
  const auto add = [&](Slot::Role role, std::size_t i, const Type& type, Shown shown) -> Slot& {
    Slot slot;
    slot.entity = index;
    slot.role = role;
    slot.index = static_cast<std::uint8_t>(i);
    slot.type = type;
    slot.shown = shown;
    return plan.slots.emplace_back(slot);
  };
  for (std::size_t i = 0; i < kind.quantities.size(); ++i) {
    const QuantitySpec& q = kind.quantities[i];
    add(q.measured ? Slot::Role::measured : Slot::Role::computed, i, q.type, q.shown);
  }
  for (std::size_t i = 0; i < watch_count; ++i) {
    add(Slot::Role::watch, i, watch_quantities()[i].type, watch_quantities()[i].shown);
  }
  for (std::size_t i = 0; i < kind.parameters.size(); ++i) {
    const ParameterSpec& p = kind.parameters[i];
    Slot& slot = add(Slot::Role::parameter, i, p.type, p.shown);
    slot.value = p.otherwise;
    slot.assumed = p.otherwise.has_value();
  }
}

std::uint32_t add_entity(Draft& draft, std::string id, std::string name, const KindSpec& kind, const YamlNode* key) {
  Entity entity;
  entity.id = std::move(id);
  entity.name = std::move(name);
  entity.kind = &kind;
  draft.plan.entities.push_back(std::move(entity));
  draft.entity_keys.push_back(key);
  const auto index = static_cast<std::uint32_t>(draft.plan.entities.size() - 1);
  if (&kind == &place_kind()) draft.plan.entities[index].place = index;
  add_slots(draft, index);
  return index;
}

// Keys of a place or a piece of gear: those of the section, its measured quantities, its parameters.
void check_entity_keys(const YamlNode& map, const Section& section, const KindSpec& kind, Report& report) {
  std::vector<std::string_view> known = key_names(section);
  for (const QuantitySpec& q : kind.quantities) {
    if (q.measured) known.push_back(q.name);
  }
  for (const ParameterSpec& p : kind.parameters) {
    if (std::ranges::find(known, group_of(p.name)) == known.end()) known.push_back(group_of(p.name));
  }
  for_each_pair(map, [&](const YamlNode& key, const YamlNode&) {
    if (std::ranges::find(known, key.text) != known.end()) return;
    if (const auto q = kind.quantity(key.text); q && !kind.quantities[*q].measured) {
      report.error(key, fmt::format("`{}` of a {} is computed, not given", key.text, kind.name), "remove it");
      return;
    }
    report.error(key, fmt::format("the kind {} has no key {}", kind.name, quote(key.text)),
                 suggestion(key.text, known));
  });
}

void read_name_and_was(const YamlNode& map, Entity& entity, Draft& draft) {
  if (const YamlNode* node = find(map, "name")) entity.name = read_text(*node, draft.report).value_or(entity.name);
  if (const YamlNode* node = find(map, "was"); node && check_id(*node, draft.report)) {
    if (draft.plan.find_entity(node->text) != no_index) {
      draft.report.error(*node, fmt::format("{} is still in use", quote(node->text)),
                         "`was` names an id that is no more");
      return;
    }
    if (const auto other = std::ranges::find(draft.plan.entities, node->text, &Entity::was);
        other != draft.plan.entities.end()) {
      draft.report.error(*node, fmt::format("{} was {} too", quote(other->id), quote(node->text)),
                         "only one of them goes on with what was known of it");
      return;
    }
    entity.was = node->text;
  }
}

// Its kind, or nullptr and a report.
const KindSpec* kind_of(const YamlNode& key, const YamlNode& map, Draft& draft) {
  const YamlNode* node = find(map, "kind");
  std::vector<std::string_view> names;
  for (const KindSpec* kind : all_kinds()) {
    if (kind != &place_kind() && kind != &site_kind()) names.push_back(kind->name);
  }
  if (!node) {
    draft.report.error(key, fmt::format("{} needs `kind`", quote(key.text)), suggestion("", names));
    return nullptr;
  }
  return read_kind_name(*node, names, draft.report);
}

struct Found {
  const YamlNode* map = nullptr;
  std::uint32_t entity = 0;
};

// One of the maps `places` and `gear`; ids first, so that what names another id may stand before it.
template <class F>
void for_each_id(const YamlNode& root, std::string_view section, Draft& draft, F&& f) {
  const YamlNode* map = find(root, section);
  if (!map || map->is_null()) return;
  if (!map->is_map()) {
    draft.report.error(*map, fmt::format("`{}` is a map of ids", section));
    return;
  }
  for_each_pair(*map, [&](const YamlNode& key, const YamlNode& value) {
    bool sound = check_id(key, draft.report) && is_free(key, draft);
    if (!value.is_map() && !value.is_null()) {
      draft.report.error(value, fmt::format("{} is a map of its keys", quote(key.text)));
      sound = false;
    }
    if (sound && draft.plan.entities.size() >= limits::entities) {
      draft.report.error(key, fmt::format("more than {} places and pieces of gear", limits::entities));
      sound = false;
    }
    if (!sound || !f(key, value)) draft.broken_ids.push_back(key.text);
  });
}

void read_place_of(const YamlNode& key, const YamlNode& map, std::uint32_t index, std::uint32_t unplaced,
                   Draft& draft) {
  const YamlNode* node = find(map, "place");
  if (node) {
    const auto id = read_text(*node, draft.report);
    if (!id || draft.is_broken(*id)) {
      draft.plan.entities[index].place = draft.plan.outdoors;
      return;
    }
    const std::uint32_t place = draft.plan.find_entity(*id);
    if (place != no_index && draft.plan.entities[place].kind == &place_kind()) {
      draft.plan.entities[index].place = place;
      return;
    }
    std::vector<std::string_view> places;
    for (std::uint32_t i = 0; i < draft.plan.entities.size(); ++i) {
      const Entity& e = draft.plan.entities[i];
      if (e.kind == &place_kind() && !draft.plan.is_nowhere(i)) places.push_back(e.id);
    }
    draft.report.error(*node, fmt::format("there is no place {}", quote(*id)), suggestion(*id, places));
    draft.plan.entities[index].place = draft.plan.outdoors;  // told once, here: no rule is blamed for it
    return;
  }
  draft.plan.entities[index].place = unplaced;
  const KindSpec& kind = *draft.plan.entities[index].kind;
  const bool wants_place =
      std::ranges::any_of(kind.inputs, [](const InputSpec& input) { return input.whose == InputSpec::Whose::place; });
  if (wants_place) {
    draft.report.warning(key,
                         fmt::format("{} has no `place`: what it needs of the air around it is unknown", key.text));
  }
}

}  // namespace

bool names_nothing_else(const YamlNode& id, const Draft& draft) {
  if (!names_something_else(id.text, draft)) return true;
  draft.report.error(id, fmt::format("{} is the name of a quantity, a parameter or a function", quote(id.text)),
                     "choose another id");
  return false;
}

std::vector<std::string_view> Draft::ids() const { return plan.ids(); }

bool Draft::is_broken(std::string_view id) const { return std::ranges::find(broken_ids, id) != broken_ids.end(); }

void read_places_and_gear(const YamlNode& root, Draft& draft) {
  const YamlNode* site = find(root, "site");
  add_entity(draft, draft.plan.site_id, draft.plan.site_name, site_kind(), site ? find(*site, "id") : nullptr);
  std::vector<Found> found;
  for_each_id(root, "places", draft, [&](const YamlNode& key, const YamlNode& map) {
    found.push_back({&map, add_entity(draft, key.text, in_words(key.text), place_kind(), &key)});
    return true;
  });
  // Conditions name the outdoors whether there is a sensor or not; without one it is a place that nothing is known of.
  draft.plan.outdoors = draft.plan.find_entity("outdoors");
  draft.plan.outdoors_given = draft.plan.outdoors != no_index;
  if (!draft.plan.outdoors_given) {
    draft.plan.outdoors = add_entity(draft, "outdoors", "outdoors", place_kind(), nullptr);
  }
  // A place that gear without one stands in comes before all gear.
  std::uint32_t unplaced = no_index;
  if (const YamlNode* gear = find(root, "gear")) {
    bool missing = false;
    for_each_pair(*gear, [&](const YamlNode&, const YamlNode& map) { missing = missing || !find(map, "place"); });
    if (missing) {
      unplaced = add_entity(draft, std::string(unplaced_id), "no place", place_kind(), nullptr);
    }
  }
  const std::size_t places = found.size();
  for_each_id(root, "gear", draft, [&](const YamlNode& key, const YamlNode& map) {
    const KindSpec* kind = kind_of(key, map, draft);
    if (!kind) return false;
    found.push_back({&map, add_entity(draft, key.text, in_words(key.text), *kind, &key)});
    read_place_of(key, map, found.back().entity, unplaced, draft);
    return true;
  });
  for (std::size_t i = 0; i < found.size(); ++i) {
    const auto [map, index] = found[i];
    Entity& entity = draft.plan.entities[index];
    check_entity_keys(*map, i < places ? place_section() : gear_section(), *entity.kind, draft.report);
    read_name_and_was(*map, entity, draft);
    read_parameters(*map, index, draft);
    read_bindings(*map, index, draft);
  }
}

}  // namespace overwinter
