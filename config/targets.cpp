#include "config/targets.h"

#include <fmt/format.h>

#include <algorithm>

#include "rules/language/source.h"

namespace overwinter {
namespace {

constexpr std::string_view shape = "write {kind: K}, {gear: ID}, {place: ID}, places, sensors, everything or site";

bool has_sensor(const Plan& plan, std::uint32_t entity) {
  return std::ranges::any_of(plan.sensors, [&](const Sensor& s) { return plan.slots[s.slot].entity == entity; });
}

// places, sensors, everything (each place and piece of gear), site
std::optional<Targets> read_group(const YamlNode& node, Draft& draft) {
  const Plan& plan = draft.plan;
  Targets targets;
  if (node.text == "site") {
    targets.entities.push_back(0);
    return targets;
  }
  if (node.text != "places" && node.text != "sensors" && node.text != "everything") {
    draft.report.error(node, fmt::format("{} is nothing that a rule applies to", quote(node.text)), std::string(shape));
    return {};
  }
  for (std::uint32_t i = 1; i < plan.entities.size(); ++i) {
    const Entity& entity = plan.entities[i];
    const bool fits = node.text == "sensors"
                          ? has_sensor(plan, i)
                          : !plan.is_nowhere(i) &&
                                (node.text == "everything" || (entity.kind == &place_kind() && i != plan.outdoors));
    if (fits) targets.entities.push_back(i);
  }
  targets.sample = &place_kind();
  return targets;
}

std::optional<Targets> read_kind(const YamlNode& node, Draft& draft) {
  std::vector<std::string_view> names;
  for (const KindSpec* kind : all_kinds()) {
    if (kind != &site_kind()) names.push_back(kind->name);
  }
  Targets targets;
  targets.sample = read_kind_name(node, names, draft.report);
  if (targets.sample == nullptr) return {};
  for (std::uint32_t i = 0; i < draft.plan.entities.size(); ++i) {
    if (draft.plan.entities[i].kind == targets.sample && !draft.plan.is_nowhere(i)) targets.entities.push_back(i);
  }
  return targets;
}

std::optional<Targets> read_ids(const YamlNode& node, bool places, Draft& draft) {
  Targets targets;
  const std::vector<const YamlNode*> items = [&] {
    std::vector<const YamlNode*> list;
    if (!node.is_sequence()) return std::vector{&node};
    for (const YamlNode& item : node.items) list.push_back(&item);
    return list;
  }();
  bool sound = true;
  for (const YamlNode* item : items) {
    const auto id = read_text(*item, draft.report);
    if (!id || draft.is_broken(*id)) {
      sound = false;
      continue;
    }
    std::vector<std::string_view> ids;
    for (std::uint32_t i = 0; i < draft.plan.entities.size(); ++i) {
      const Entity& e = draft.plan.entities[i];
      if (e.kind != &site_kind() && (e.kind == &place_kind()) == places && !draft.plan.is_nowhere(i))
        ids.push_back(e.id);
    }
    if (std::ranges::find(ids, *id) != ids.end()) {
      targets.entities.push_back(draft.plan.find_entity(*id));
      continue;
    }
    draft.report.error(*item, fmt::format("there is no {} {}", places ? "place" : "gear", quote(*id)),
                       suggestion(*id, ids));
    sound = false;
  }
  std::ranges::sort(targets.entities);
  const auto repeats = std::ranges::unique(targets.entities);
  targets.entities.erase(repeats.begin(), repeats.end());
  return sound && !targets.entities.empty() ? std::optional(targets) : std::nullopt;
}

// An id does not count: behind it stands a dot, behind a number never.
bool means_something(std::string_view name, const Draft& draft) {
  for (const KindSpec* kind : all_kinds()) {
    if (kind->quantity(name) || kind->parameter(name)) return true;
  }
  return std::ranges::any_of(draft.functions, [&](const Function& f) { return f.name == name; });
}

std::optional<WithNumber> read_number_of(const NamedNode& named, Draft& draft) {
  if (!named.value->is_scalar()) {
    draft.report.error(*named.value, fmt::format("{} is a number with its unit", quote(named.key->text)),
                       "write it as in `margin: 3 psi`");
    return {};
  }
  const Result<UnitValue> value = parse_unit_value(named.value->text, UnitContext::binding);
  if (!value) {
    draft.report.error(*named.value, value.error().text, value.error().hint);
    return {};
  }
  WithNumber number;
  number.name = named.key->text;
  number.value = value->value;
  number.type = value->unit.is_point ? Type::temperature() : Type::number(value->unit.dimension);
  number.type.literal = !value->unit.is_point && value->unit.dimension == dimension::pressure;
  if (value->unit_text == "%") number.shown = Shown::percent;
  if (number.type.sort == Sort::temperature && number.value < -273.15) {
    draft.report.error(*named.value, fmt::format("{} is below absolute zero", quote(named.value->text)));
    return {};
  }
  return number;
}

}  // namespace

std::optional<Targets> read_targets(const YamlNode* node, Draft& draft) {
  if (!node) return Targets{{0}, nullptr};
  if (node->is_scalar()) return read_group(*node, draft);
  constexpr std::string_view keys[] = {"kind", "gear", "place"};
  if (!node->is_map() || node->items.size() != 2) {
    draft.report.error(*node, "`applies_to` names one thing", std::string(shape));
    return {};
  }
  if (!check_map(*node, keys, "`applies_to`", draft.report)) return {};
  if (const YamlNode* kind = find(*node, "kind")) return read_kind(*kind, draft);
  if (const YamlNode* gear = find(*node, "gear")) return read_ids(*gear, false, draft);
  if (const YamlNode* place = find(*node, "place")) return read_ids(*place, true, draft);
  return {};
}

void warn_of_others(const Definition& definition, const Targets& targets, Draft& draft) {
  for (const Definition::ForGear& gear : definition.for_gear) {
    const std::uint32_t entity = draft.plan.find_entity(gear.id->text);
    if (entity == no_index || std::ranges::find(targets.entities, entity) != targets.entities.end()) continue;
    draft.report.warning(*gear.id,
                         fmt::format("{} does not apply to {}: this changes nothing", definition.name, gear.id->text),
                         "`applies_to` says what it is about");
  }
}

void WithNumbers::check_name(const YamlNode& key, Draft& draft) {
  if (!check_id(key, draft.report) || !means_something(key.text, draft)) return;
  draft.report.error(key, fmt::format("{} means something already", quote(key.text)),
                     "own names hide nothing: choose another");
}

WithNumbers::WithNumbers(const Definition& definition, Draft& draft) {
  for (const NamedNode& named : definition.with) {
    check_name(*named.key, draft);
    if (auto number = read_number_of(named, draft)) general_.push_back(std::move(*number));
  }
  std::vector<std::string_view> names;
  for (const NamedNode& named : definition.with) names.push_back(named.key->text);
  for (const Definition::ForGear& gear : definition.for_gear) {
    if (!draft.is_broken(gear.id->text) && draft.plan.find_entity(gear.id->text) == no_index) {
      draft.report.error(*gear.id, fmt::format("there is no gear {}", quote(gear.id->text)),
                         suggestion(gear.id->text, draft.ids()));
    }
    OfGear own{gear.id->text, {}};
    for (const NamedNode& named : gear.with) {
      if (std::ranges::find(names, named.key->text) == names.end()) {
        draft.report.error(*named.key, fmt::format("`with` of {} has no {}", definition.name, quote(named.key->text)),
                           suggestion(named.key->text, names));
        continue;
      }
      auto number = read_number_of(named, draft);
      if (!number) continue;
      const auto other = std::ranges::find(general_, number->name, &WithNumber::name);
      if (other != general_.end() && !(other->type == number->type)) {
        draft.report.error(*named.value, fmt::format("{} is {}, and under `with` {}", quote(named.value->text),
                                                     describe(number->type), describe(other->type)));
        continue;  // the conditions that read it would each tell it again
      }
      own.numbers.push_back(std::move(*number));
    }
    of_gear_.push_back(std::move(own));
  }
}

std::vector<WithNumber> WithNumbers::of(std::string_view id) const {
  std::vector<WithNumber> numbers = general_;
  const auto own = std::ranges::find(of_gear_, id, &OfGear::id);
  if (own == of_gear_.end()) return numbers;
  for (const WithNumber& number : own->numbers) {
    const auto at = std::ranges::find(numbers, number.name, &WithNumber::name);
    if (at != numbers.end()) *at = number;
  }
  return numbers;
}

}  // namespace overwinter
