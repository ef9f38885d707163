#include "config/lacks.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>
#include <utility>

#include "config/rests.h"
#include "rules/language/source.h"

namespace overwinter {
namespace {

std::string joined(const std::set<std::string>& words, std::string_view by = ", ") {
  std::string text;
  for (const std::string& word : words) text.append(text.empty() ? "" : by).append(word);
  return text;
}

// "pressure", or of another entity "outdoors.temperature".
std::string name_of_slot(const Plan& plan, std::uint32_t slot, std::uint32_t entity) {
  const Slot& s = plan.slots[slot];
  const std::string name(plan.slot_name(slot));
  return s.entity == entity ? name : fmt::format("{}.{}", plan.entities[s.entity].id, name);
}

// A parameter as it is written in the site file: `set_temperature`, `filled: {pressure}`; `value`, if not empty, with
// it.
std::string key_of(const Plan& plan, std::uint32_t slot, std::string_view value = {}) {
  const std::string_view name = plan.slot_name(slot);
  const std::string_view colon = value.empty() ? "" : ": ";
  const std::size_t dot = name.find('.');
  if (dot == std::string_view::npos) return fmt::format("{}{}{}", name, colon, value);
  return fmt::format("{}: {{{}{}{}}}", name.substr(0, dot), name.substr(dot + 1), colon, value);
}

std::string_view example_of(const Type& type, DisplayUnits units) {
  const bool us = units == DisplayUnits::us;
  switch (type.sort) {
    case Sort::instant:
      return "2026-10-31";
    case Sort::temperature:
      return us ? "45 degF" : "7 degC";
    case Sort::gauge:
    case Sort::absolute:
      return us ? "52 psi" : "360 kPa";
    case Sort::word:
      return type.words.front();
    case Sort::code:
      return "\"2424\"";
    case Sort::boolean:
      return "true";
    case Sort::number:
      break;
  }
  if (type.dimension == dimension::time) return "1 year";
  if (type.dimension == dimension::charge) return "85 Ah";
  return type.dimension == dimension::current ? "8 A" : "...";
}

// The act that tells this parameter; empty: none.
std::string_view act_that_tells(const Plan& plan, std::uint32_t slot) {
  const Slot& s = plan.slots[slot];
  const std::string_view parameter = plan.slot_name(slot);
  for (const ActSpec& act : plan.entities[s.entity].kind->acts) {
    if (act.dated == parameter ||
        std::ranges::find(act.values, parameter, &ActValueSpec::parameter) != act.values.end())
      return act.name;
  }
  return {};
}

// What a rule lacks, in words.
struct Lack {
  std::set<std::string> sources;       // quantities that nothing brings
  std::set<std::string> parameters;    // keys that are not given
  std::set<std::string> examples;      // of how they are written
  std::set<std::string> acts;          // that would tell one of them
  std::set<std::string> expectations;  // quantities of which nothing is ever expected
  bool a_place = false;

  bool any() const { return a_place || !sources.empty() || !parameters.empty() || !expectations.empty(); }
  bool only_parameters() const { return !a_place && sources.empty() && expectations.empty(); }
  void add(const Lack& other) {
    for (const auto set : {&Lack::sources, &Lack::parameters, &Lack::examples, &Lack::acts, &Lack::expectations}) {
      (this->*set).insert((other.*set).begin(), (other.*set).end());
    }
    a_place = a_place || other.a_place;
  }
  // "temperature or specific_gravity" is told where temperature alone is not.
  std::set<std::string> wanted_sources() const {
    std::set<std::string> wanted = sources;
    std::erase_if(wanted, [this](const std::string& name) {
      const std::size_t more = name.find(" or ");
      return more != std::string::npos && sources.contains(name.substr(0, more));
    });
    return wanted;
  }
  std::string in_words() const {
    std::string text = a_place ? "it stands in no place" : "";
    const auto say = [&text](std::string_view part) { text.append(text.empty() ? "" : ", and ").append(part); };
    if (!sources.empty()) say("no source for " + joined(wanted_sources()));
    if (!parameters.empty()) say(joined(parameters) + " not given");
    if (!expectations.empty()) say(fmt::format("nothing tells what {} ought to be", joined(expectations)));
    return text;
  }
  std::string remedy() const {
    std::string text = a_place ? "write its `place:`" : "";
    const auto say = [&text](std::string_view part) { text.append(text.empty() ? "" : ", and ").append(part); };
    if (!sources.empty()) say("bind a sensor or say by_hand");
    if (!parameters.empty()) say("write it as in " + joined(examples));
    if (!acts.empty()) text += fmt::format(", or tell the act {}", joined(acts, " or "));
    if (!expectations.empty()) say("compare with a number");
    return text;
  }
};

void add_need(const Need& need, std::uint32_t entity, const Draft& draft, Lack& lack) {
  const Plan& plan = draft.plan;
  const std::uint32_t first = need.any_of.front();
  const std::uint32_t whose = plan.slots[first].entity;
  if (plan.is_nowhere(whose)) {
    lack.a_place = true;
    return;
  }
  if (whose == plan.outdoors && !draft.entity_keys[whose]) return;  // told once, for the site
  if (plan.slots[first].role != Slot::Role::parameter) {
    std::string names;
    for (const std::uint32_t slot : need.any_of)
      names += (names.empty() ? "" : " or ") + name_of_slot(plan, slot, entity);
    (need.itself ? lack.expectations : lack.sources).insert(names);
    return;
  }
  std::string keys;
  for (const std::uint32_t slot : need.any_of) {
    keys += (keys.empty() ? "" : " or ") + quote(key_of(plan, slot));
    if (const auto act = act_that_tells(plan, slot); !act.empty()) lack.acts.insert(quote(act));
  }
  if (whose != entity) keys += " of " + plan.entities[whose].id;
  lack.parameters.insert(keys);
  lack.examples.insert(quote(key_of(plan, first, example_of(plan.slots[first].type, plan.units))));
}

// What is silent for one lack of a piece of gear.
struct Silent {
  std::set<std::string> rules;
  std::set<std::string> parameters;  // that say nothing without it
  Lack lack;

  std::string in_words() const {
    const std::string watched = rules.empty() ? "" : "is not watched by " + joined(rules);
    if (parameters.empty()) return watched;
    return fmt::format("{}{}has {} to no effect", watched, watched.empty() ? "" : ", and ", joined(parameters));
  }
};

// By piece of gear and the keys that are not given. What lacks a source lacks it in one line.
using Silence = std::map<std::pair<std::uint32_t, std::set<std::string>>, Silent>;

Silent& silent_for(Silence& silence, std::uint32_t entity, const Lack& lack) {
  Silent& silent = silence[{entity, lack.only_parameters() ? lack.parameters : std::set<std::string>{}}];
  silent.lack.add(lack);
  return silent;
}

// Rules that ship: one line for each piece of gear and what it lacks. One's own: each told by itself.
void advise_about_rules(const Definitions& definitions, Draft& draft, Silence& silence) {
  const Plan& plan = draft.plan;
  std::map<std::string_view, const Definition*> by_name;
  for (const Definition& d : definitions.all()) by_name[d.name] = &d;
  for (const AlarmSpec& alarm : plan.alarms) {
    Lack lack;
    for (const Need& need : never_true_because(plan, alarm.raise)) add_need(need, alarm.entity, draft, lack);
    if (!lack.any()) continue;
    const Definition& definition = *by_name.at(plan.rules[alarm.rule].name);
    if (definition.standard) {
      silent_for(silence, alarm.entity, lack).rules.insert(definition.name);
      continue;
    }
    draft.report.warning(*definition.name_key,
                         fmt::format("{} can never be true for {}: {}", definition.name, plan.entities[alarm.entity].id,
                                     lack.in_words()),
                         lack.remedy() + ", or leave this gear out with applies_to or where");
  }
}

void advise_about_parameters(const Draft& draft, Silence& silence) {
  const Plan& plan = draft.plan;
  for (std::uint32_t slot = 0; slot < plan.slots.size(); ++slot) {
    if (plan.slots[slot].role != Slot::Role::parameter) continue;
    const auto need = says_nothing_without(plan, slot);
    if (!need) continue;
    const std::uint32_t entity = plan.slots[slot].entity;
    Lack lack;
    add_need(*need, entity, draft, lack);
    if (lack.any()) silent_for(silence, entity, lack).parameters.insert(quote(key_of(plan, slot)));
  }
}

void tell(const Silence& silence, Draft& draft) {
  for (const auto& [about, silent] : silence) {
    const YamlNode* key = draft.entity_keys[about.first];
    if (!key) continue;
    draft.report.warning(
        *key, fmt::format("{} {}: {}", draft.plan.entities[about.first].id, silent.in_words(), silent.lack.in_words()),
        silent.lack.remedy() + (silent.rules.empty() ? "" : "; without it these rules stay silent"));
  }
}

}  // namespace

void advise_about_lacks(const Definitions& definitions, Draft& draft) {
  Silence silence;
  advise_about_rules(definitions, draft, silence);
  advise_about_parameters(draft, silence);
  tell(silence, draft);
}

}  // namespace overwinter
