#include "rules/engine/other_sources.h"

#include <algorithm>

namespace overwinter {

bool OtherSources::are_behind(const World& world, const Program& program) const {
  const Plan& plan = *world.plan;
  const auto is_other = [&](std::uint32_t slot) { return std::ranges::find(slots, slot) != slots.end(); };
  const auto makes_of_others = [&](const Entity& entity) {
    for (std::uint8_t q = 0; q < entity.kind->quantities.size(); ++q) {
      if (entity.kind->quantities[q].measured && is_other(entity.quantity_slot(q))) return true;
    }
    return std::ranges::any_of(entity.kind->inputs, [&](const InputSpec& input) {
      const bool is_outdoors = input.whose == InputSpec::Whose::outdoors;
      const auto own = entity.kind->quantity(input.quantity);
      if (!is_outdoors && own && plan.slots[entity.quantity_slot(*own)].sensor != no_index) return false;
      const std::uint32_t owner = is_outdoors ? plan.outdoors : entity.place;
      return owner != no_index && is_other(plan.find_slot(owner, input.quantity));
    });
  };
  return std::ranges::any_of(program.references, [&](const Reference& reference) {
    const Slot& slot = plan.slots[reference.slot];
    if (slot.role != Slot::Role::computed && !needs_expected(reference.facet)) return false;
    return std::ranges::find(gear, slot.entity) != gear.end() || makes_of_others(plan.entities[slot.entity]);
  });
}

bool OtherSources::are_behind(const World& world, const MessageTemplate& message) const {
  return std::ranges::any_of(message.parts,
                             [&](const MessageTemplate::Part& part) { return are_behind(world, part.program); });
}

}  // namespace overwinter
