#include "rules/engine/act.h"

namespace overwinter {

bool apply_act(World& world, std::uint32_t entity, const ActSpec& spec, const RecordedAct& act) {
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
