// act: work that changes what to expect.
#include <algorithm>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "rules/engine/act.h"
#include "rules/engine/command.h"
#include "rules/engine/command_value.h"
#include "rules/engine/entity_view.h"
#include "rules/engine/readings.h"
#include "rules/engine/shared_jump.h"
#include "rules/quantity/print.h"

namespace overwinter {
namespace {

// The act's own values, into `act`; what is told of them: ", pressure 50.0 psi". Refused: the call says why.
std::string take_act_values(CommandCall& call, const Entity& e, const ActSpec& spec, RecordedAct& act) {
  std::string told;
  for (const CommandMember& member : call.message.members) {
    const std::string& key = member.key;
    if (key == "id" || key == "at" || key == "by" || key == "note" || key == "gear" || key == "act") continue;
    const auto value = std::ranges::find(spec.values, key, &ActValueSpec::name);
    if (value == spec.values.end()) {
      std::vector<std::string_view> names;
      for (const ActValueSpec& v : spec.values) names.push_back(v.name);
      call.refuse("unknown key '" + key + "' for the act '" + std::string(spec.name) + "'; it takes " +
                  (names.empty() ? "no values" : listed(names)));
      return {};
    }
    const auto parameter = e.kind->parameter(value->parameter);
    if (!parameter) {
      call.refuse("unknown key '" + key + "'");
      return {};
    }
    const ParameterSpec& p = e.kind->parameters[*parameter];
    const std::uint32_t slot = e.parameter_slot(*parameter);
    const auto typed = read_typed_value(call, member, p.type, p.shown);
    if (!typed) return {};
    if (typed->value < p.minimum || typed->value > p.maximum) {
      call.refuse("'" + key + "' is out of range (" + printed(call, slot, p.minimum) + " to " +
                  printed(call, slot, p.maximum) + ")");
      return {};
    }
    act.values.emplace_back(std::string(value->parameter), typed->value);
    told += ", " + key + " " + (typed->word.empty() ? printed(call, slot, typed->value) : typed->word);
  }
  for (const ActValueSpec& v : spec.values) {
    if (v.required && call.find(v.name) == nullptr) call.refuse("'" + std::string(v.name) + "' is missing");
  }
  return told;
}

// Why the act changes nothing. A date of the site file that is still to come is a slip in its year.
std::string why_not_counted(const World& world, const Entity& e, const ActSpec& spec) {
  const auto dated = e.kind->parameter(spec.dated);
  const auto of_site_file = dated ? world.plan->slots[e.parameter_slot(*dated)].value : std::nullopt;
  if (!of_site_file || !lies_ahead(instant_from_seconds(*of_site_file), world.now)) {
    return "a later one is on record and counts.";
  }
  return "the site file's counts, of " +
         print_date(instant_from_seconds(*of_site_file), world.plan->units, world.plan->zone, world.now) +
         ", which is still to come: put that date right.";
}

}  // namespace

void run_act(CommandCall& call) {
  const std::uint32_t entity = call.entity();
  const std::string name = call.text("act", true);
  if (!call.refused.empty()) return;
  World& world = call.world;
  const Entity& e = world.entity(entity);
  const auto& acts = e.kind->acts;
  const auto spec = std::find_if(acts.begin(), acts.end(), [&](const ActSpec& a) { return a.name == name; });
  if (spec == acts.end()) {
    std::vector<std::string_view> names;
    for (const ActSpec& a : acts) names.push_back(a.name);
    return call.refuse("'" + name + "' is no act of " + e.name +
                       (names.empty() ? "; it has none" : "; it has: " + listed(names)));
  }
  RecordedAct act{instant_of_act(world, entity, call.at), {}, call.by};
  const std::string told = take_act_values(call, e, *spec, act);
  if (!call.refused.empty()) return;
  // The newest counts, of the acts told and the site file's own; an older one is kept as told and changes nothing.
  RecordedAct& newest = world.entities[entity].acts[name];
  bool counts = newest.at <= act.at;
  const std::vector<Expectation> before = expectations(world, entity);
  if (counts) {
    newest = act;
    counts = apply_act(world, entity, *spec, act);
  }
  std::string caution;
  if (counts && world.models[entity] != nullptr) {
    EntityView view(world, entity);
    const auto which = static_cast<std::uint8_t>(spec - acts.begin());
    world.models[entity]->act(view, which, act.at);
    caution = world.models[entity]->caution_in_words(view, which);
    if (!caution.empty()) caution.insert(0, 1, ' ');
    expect_anew(world, entity, before);
    world.mark_entity(entity);
    world.acted_on = entity;
    for (const std::uint32_t alarm : world.wiring.entity_alarms[entity]) world.mark_alarm(alarm);
  }
  if (counts) confirm_by_act(world, entity);
  const std::string event_text = as_sentence(e.name + ": " + std::string(spec->done) + told + ".") + caution;
  Event event;
  event.kind = EventKind::act;
  event.gear = e.id;
  event.by = call.by;
  event.title = name;
  event.message = event_text;
  if (call.at != world.now) event.last_at = call.at;
  world.emit(EventGroup::command, entity, std::move(event));
  call.answer = event_text + (counts ? " Noted." : " Noted; " + why_not_counted(world, e, *spec));
}

}  // namespace overwinter
