#include "config/definitions.h"

#include <fmt/format.h>

#include <algorithm>

#include "config/later_names.h"
#include "config/scalars.h"
#include "rules/language/source.h"

namespace overwinter {
namespace {

void put(std::vector<NamedNode>& list, const YamlNode& key, const YamlNode& value) {
  const auto old = std::ranges::find_if(list, [&](const NamedNode& n) { return n.key->text == key.text; });
  if (old == list.end()) {
    list.push_back({&key, &value});
  } else {
    *old = {&key, &value};
  }
}

void put_all(std::vector<NamedNode>& list, const YamlNode& map, std::string_view title, Report& report) {
  if (!map.is_map() && !map.is_null()) {
    report.error(map, fmt::format("{} is a map of names to values", title), "write {margin: 3 psi}");
    return;
  }
  for_each_pair(map, [&](const YamlNode& key, const YamlNode& value) { put(list, key, value); });
}

void put_for_gear(Definition& definition, const YamlNode& map, Report& report) {
  if (!map.is_map() && !map.is_null()) {
    report.error(map, "`for` is a map of ids", "write {left_front_tire: {margin: 6 psi}}");
    return;
  }
  for_each_pair(map, [&](const YamlNode& id, const YamlNode& values) {
    auto at = std::ranges::find_if(definition.for_gear, [&](const auto& f) { return f.id->text == id.text; });
    if (at == definition.for_gear.end()) at = definition.for_gear.insert(at, {&id, {}});
    at->id = &id;
    put_all(at->with, values, quote(id.text), report);
  });
}

// What a number under `with` is; nothing when it is no number, which is told where it is read.
std::optional<Type> type_of(const YamlNode& number) {
  const Result<UnitValue> value = parse_unit_value(number.text, UnitContext::binding);
  if (!value) return std::nullopt;
  return value->unit.is_point ? Type::temperature() : Type::number(value->unit.dimension);
}

// `adjust` changes numbers that there are; it makes none, and none of another dimension.
void adjust_numbers(Definition& definition, const YamlNode& with, Report& report) {
  if (!with.is_map()) return put_all(definition.with, with, "`with`", report);
  std::vector<std::string_view> names;
  for (const NamedNode& named : definition.with) names.push_back(named.key->text);
  for_each_pair(with, [&](const YamlNode& key, const YamlNode& value) {
    const auto old = std::ranges::find_if(definition.with, [&](const NamedNode& n) { return n.key->text == key.text; });
    if (old == definition.with.end()) {
      report.error(key, fmt::format("`with` of {} has no {}", definition.name, quote(key.text)),
                   suggestion(key.text, names));
      return;
    }
    const auto is = type_of(value), was = type_of(*old->value);
    if (is && was && !(*is == *was)) {
      report.error(
          value, fmt::format("{} is {}, and {} {}", quote(value.text), describe(*is), quote(key.text), describe(*was)),
          fmt::format("in {} it is {}", definition.name, quote(old->value->text)));
      return;
    }
    *old = {&key, &value};
  });
}

// every, date and due_when exclude each other: a later one takes the place of those that stand, `first` goes with
// every.
void give_way(Definition& definition, const YamlNode& map) {
  constexpr std::string_view whens[] = {"every", "date", "due_when"};
  const auto given = [&](std::string_view key) { return find(map, key) != nullptr; };
  if (definition.what != Definition::What::reminder || std::ranges::none_of(whens, given)) return;
  std::erase_if(definition.keys, [&](const NamedNode& old) {
    const std::string_view key = old.key->text;
    return std::ranges::find(whens, key) != std::end(whens) || (key == "first" && !given("every"));
  });
}

// The keys of one definition or adjustment, over those that stand.
void merge(Definition& definition, const YamlNode& map, bool adjusts, Report& report) {
  if (!check_map(map, key_names(definition.section()), definition.section().title, report)) return;
  give_way(definition, map);
  for_each_pair(map, [&](const YamlNode& key, const YamlNode& value) {
    if (key.text == "with" && adjusts) {
      adjust_numbers(definition, value, report);
    } else if (key.text == "with") {
      put_all(definition.with, value, "`with`", report);
    } else if (key.text == "for") {
      put_for_gear(definition, value, report);
    } else {
      put(definition.keys, key, value);
    }
  });
}

// The map under a key of the file; an empty one when it is missing or no map.
const YamlNode& map_under(const YamlNode& root, std::string_view name, Report& report) {
  static const YamlNode empty;
  const YamlNode* node = find(root, name);
  if (!node || node->is_null()) return empty;
  if (node->is_map()) return *node;
  report.error(*node, fmt::format("`{}` is a map of names", name));
  return empty;
}

}  // namespace

const YamlNode* Definition::find(std::string_view key) const {
  const auto at = std::ranges::find_if(keys, [&](const NamedNode& n) { return n.key->text == key; });
  return at == keys.end() ? nullptr : at->value;
}

Definition* Definitions::find(std::string_view name) {
  const auto at = std::ranges::find(all_, name, &Definition::name);
  return at == all_.end() ? nullptr : &*at;
}

std::vector<std::string_view> Definitions::names(Definition::What what) const {
  std::vector<std::string_view> names;
  for (const Definition& d : all_) {
    if (d.what == what) names.push_back(d.name);
  }
  return names;
}

void Definitions::add(const YamlNode& root, Definition::What what, bool standard, Report& report) {
  const bool is_rule = what == Definition::What::rule;
  for_each_pair(map_under(root, is_rule ? "rules" : "reminders", report),
                [&](const YamlNode& key, const YamlNode& map) {
                  if (!check_name(key, report)) return;
                  Definition* definition = find(key.text);
                  if (definition && definition->what != what) {
                    report.error(key, fmt::format("{} is a {} already", quote(key.text), is_rule ? "reminder" : "rule"),
                                 "choose another name");
                    return;
                  }
                  if (!definition) {
                    all_.push_back({});
                    definition = &all_.back();
                    definition->what = what;
                    definition->name = key.text;
                    definition->name_key = &key;
                    definition->standard = standard;
                  }
                  // A condition or a date of one's own makes it one's own.
                  if (overwinter::find(map, is_rule ? "raise_when" : "date")) definition->standard = standard;
                  merge(*definition, map, false, report);
                });
}

void Definitions::add_file(const YamlNode& root, bool standard, Report& report) {
  add(root, Definition::What::rule, standard, report);
  add(root, Definition::What::reminder, standard, report);
  adjust(root, report);
}

void Definitions::adjust(const YamlNode& root, Report& report) {
  for_each_pair(map_under(root, "adjust", report), [&](const YamlNode& key, const YamlNode& map) {
    if (Definition* definition = find(key.text)) {
      merge(*definition, map, true, report);
      return;
    }
    if (is_later_rule(key.text)) {
      report.warning(key, fmt::format("this version has no rule {} yet: this changes nothing", quote(key.text)),
                     "the kind of gear that it watches comes with a later version");
      return;
    }
    std::vector<std::string_view> names;
    for (const Definition& d : all_) names.push_back(d.name);
    report.error(key, fmt::format("there is no rule and no reminder {}", quote(key.text)), suggestion(key.text, names));
  });
}

}  // namespace overwinter
