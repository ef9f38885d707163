#include "rules/engine/plan.h"

#include <algorithm>

#include "rules/gear/watch.h"

namespace overwinter {
namespace {

// `name` as something is called now; a name in use is nobody's former one.
template <class T>
std::string present_name(const std::vector<T>& things, std::string T::*name_of, const std::string& name) {
  if (name.empty() || std::ranges::find(things, name, name_of) != things.end()) return name;
  const auto renamed = std::ranges::find(things, name, &T::was);
  return renamed == things.end() ? name : (*renamed).*name_of;
}

// The same of what is about some gear: of those that share the former name, the one that is about this.
template <class T, class Spec>
std::string present_name_on(const Plan& plan, const std::vector<T>& things, const std::vector<Spec>& specs,
                            std::uint32_t Spec::*thing_of, const std::string& name, std::string_view gear) {
  const T* renamed = nullptr;
  for (const Spec& spec : specs) {
    if (name.empty() || plan.entities[spec.entity].id != gear) continue;
    const T& thing = things[spec.*thing_of];
    if (thing.name == name) return name;
    if (thing.was == name) renamed = &thing;
  }
  return renamed != nullptr ? renamed->name : present_name(things, &T::name, name);
}

}  // namespace

std::uint32_t Plan::find_entity(std::string_view id) const {
  for (std::uint32_t i = 0; i < entities.size(); ++i) {
    if (entities[i].id == id && !is_nowhere(i)) return i;
  }
  return no_index;
}

std::vector<std::string_view> Plan::ids() const {
  std::vector<std::string_view> all;
  for (std::uint32_t i = 0; i < entities.size(); ++i) {
    if (!is_nowhere(i)) all.push_back(entities[i].id);
  }
  return all;
}

std::string Plan::present_gear(const std::string& id) const { return present_name(entities, &Entity::id, id); }
std::string Plan::present_rule(const std::string& name, std::string_view gear) const {
  return present_name_on(*this, rules, alarms, &AlarmSpec::rule, name, gear);
}
std::string Plan::present_reminder(const std::string& name, std::string_view gear) const {
  return present_name_on(*this, reminder_defs, reminders, &ReminderSpec::def, name, gear);
}

bool Plan::is_nowhere(std::uint32_t entity) const { return entities[entity].id == unplaced_id; }

std::uint32_t Plan::find_slot(std::uint32_t entity, std::string_view name) const {
  const Entity& e = entities[entity];
  if (const auto q = e.kind->quantity(name)) return e.quantity_slot(*q);
  for (std::uint8_t i = 0; i < watch_count; ++i) {
    if (watch_quantities()[i].name == name) return e.watch_slot(static_cast<Watch>(i));
  }
  if (const auto p = e.kind->parameter(name)) return e.parameter_slot(*p);
  return no_index;
}

Range Plan::plausible(std::uint32_t slot) const {
  const Slot& s = slots[slot];
  const Entity& e = entities[s.entity];
  const QuantitySpec& quantity = e.kind->quantities[s.index];
  if (s.entity == outdoors && quantity.outdoors) return *quantity.outdoors;
  Range range{quantity.minimum, quantity.maximum};
  if (const auto parameter = e.kind->parameter(quantity.in_proportion_to)) {
    const double usual = *e.kind->parameters[*parameter].otherwise;
    const double times = slots[e.parameter_slot(*parameter)].value.value_or(usual) / usual;
    range = {range.minimum * times, range.maximum * times};
  }
  return range;
}

std::string_view Plan::slot_name(std::uint32_t slot) const {
  const Slot& s = slots[slot];
  const KindSpec& kind = *entities[s.entity].kind;
  switch (s.role) {
    case Slot::Role::measured:
    case Slot::Role::computed:
      return kind.quantities[s.index].name;
    case Slot::Role::watch:
      return watch_quantities()[s.index].name;
    case Slot::Role::parameter:
      return kind.parameters[s.index].name;
  }
  return {};
}

}  // namespace overwinter
