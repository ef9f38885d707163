#include "rules/engine/act.h"

#include <algorithm>

namespace overwinter {
namespace {

bool of_one_instant(Instant at, Instant told) { return at >= told && at < told + std::chrono::seconds(1); }

}  // namespace

Instant instant_of_reading(const World& world, std::uint32_t entity, Instant told) {
  Instant at = told;
  for (const auto& [name, act] : world.entities[entity].acts) {
    if (of_one_instant(act.at, told)) at = std::max(at, act.at);
  }
  return at;
}

Instant instant_of_act(const World& world, std::uint32_t entity, Instant told) {
  Instant at = instant_of_reading(world, entity, told);  // not before an act that it puts right
  const Entity& e = world.entity(entity);
  for (std::uint8_t q = 0; q < e.kind->quantities.size(); ++q) {
    if (!e.kind->quantities[q].measured) continue;
    const SeriesState& series = world.series[e.quantity_slot(q)];
    for (const LastReading* reading : {&series.sensor, &series.hand}) {
      if (reading->present && of_one_instant(reading->at, told)) at = std::max(at, reading->at + Span(1));
    }
  }
  return at;
}

bool apply_act(World& world, std::uint32_t entity, const ActSpec& spec, const RecordedAct& act) {
  ++world.times_told;
  const Entity& e = world.entity(entity);
  const auto forget = [&](std::string_view name) {
    const auto parameter = e.kind->parameter(name);
    if (!parameter) return;
    const std::optional<double> otherwise = e.kind->parameters[*parameter].otherwise;
    if (otherwise) {
      world.board.set_computed(e.parameter_slot(*parameter), *otherwise, 0);
    } else {
      world.board.set_unknown(e.parameter_slot(*parameter), "not told with the act");
    }
  };
  if (const auto dated = e.kind->parameter(spec.dated)) {
    const std::uint32_t slot = e.parameter_slot(*dated);
    const std::optional<double> of_site_file = world.plan->slots[slot].value;
    if (of_site_file && *of_site_file >= to_seconds(act.at)) return false;
    world.board.set_computed(slot, to_seconds(act.at), 0);
  }
  for (const ActValueSpec& v : spec.values) {
    if (!v.required) forget(v.parameter);
  }
  for (const std::string_view name : spec.forgets) forget(name);
  for (const auto& [name, value] : act.values) {
    if (const auto parameter = e.kind->parameter(name)) {
      world.board.set_computed(e.parameter_slot(*parameter), value, 0);
    }
  }
  return true;
}

}  // namespace overwinter
