#include "config/plan_scope.h"

#include "config/sections.h"
#include "rules/gear/watch.h"

namespace overwinter {
namespace {

std::optional<NamedQuantity> named(const KindSpec& kind, std::uint32_t first_slot, std::string_view name) {
  NamedQuantity found;
  if (const auto index = kind.quantity(name)) {
    const QuantitySpec& q = kind.quantities[*index];
    found.slot = first_slot + *index;
    found.type = q.type;
    found.shown = q.shown;
    found.role = q.measured ? NamedQuantity::Role::measured : NamedQuantity::Role::computed;
    found.has_expected = q.has_expected;
    return found;
  }
  const auto quantities = static_cast<std::uint32_t>(kind.quantities.size());
  for (std::uint32_t i = 0; i < watch_count; ++i) {
    if (watch_quantities()[i].name != name) continue;
    found.slot = first_slot + quantities + i;
    found.type = watch_quantities()[i].type;
    return found;
  }
  if (const auto index = kind.parameter(name)) {
    const ParameterSpec& p = kind.parameters[*index];
    if (p.form != ParameterSpec::Form::scalar) {
      found.role = NamedQuantity::Role::table;
      return found;
    }
    found.slot = first_slot + quantities + watch_count + *index;
    found.type = p.type;
    found.shown = p.shown;
    found.role = NamedQuantity::Role::parameter;
    return found;
  }
  return {};
}

// The value of a measured quantity that nothing brings is what the model takes for it.
std::optional<NamedQuantity> named_of_entity(const Plan& plan, const Entity& entity, std::string_view name) {
  std::optional<NamedQuantity> found = named(*entity.kind, entity.first_slot, name);
  if (!found || found->role != NamedQuantity::Role::measured || plan.slots[found->slot].is_brought()) return found;
  const std::string_view otherwise = entity.kind->quantities[*entity.kind->quantity(name)].otherwise;
  if (const auto index = entity.kind->quantity(otherwise)) found->stand_in = entity.quantity_slot(*index);
  return found;
}

// A pressure that stands beside a tire's is shown as that one.
Shown shown_with(const KindSpec& kind, const WithNumber& number) {
  if (number.type.dimension != dimension::pressure && number.type.dimension != dimension::pressure_rate) {
    return number.shown;
  }
  const auto pressure = kind.quantity("pressure");
  return pressure ? kind.quantities[*pressure].shown : number.shown;
}

void add_names(const KindSpec& kind, std::vector<std::string_view>& names) {
  for (const QuantitySpec& q : kind.quantities) names.push_back(q.name);
  for (const QuantitySpec& q : watch_quantities()) names.push_back(q.name);
  for (const ParameterSpec& p : kind.parameters) {
    if (p.form == ParameterSpec::Form::scalar) names.push_back(p.name);
  }
}

}  // namespace

PlanScope::PlanScope(const Plan& plan, std::uint32_t entity, std::span<const WithNumber> with)
    : plan_(plan),
      kind_(*plan.entities[entity].kind),
      entity_(&plan.entities[entity]),
      place_(plan.entities[entity].place),
      with_(with) {}

PlanScope::PlanScope(const Plan& plan, const KindSpec& kind, std::span<const WithNumber> with)
    : plan_(plan), kind_(kind), place_(&kind == &site_kind() ? no_index : plan.outdoors), with_(with) {}

std::uint32_t PlanScope::owner(std::string_view id) const {
  if (id == "place") return place_;
  return plan_.find_entity(id);
}

std::optional<NamedQuantity> PlanScope::own(std::string_view name) const {
  for (const WithNumber& number : with_) {
    if (number.name != name) continue;
    NamedQuantity found;
    found.type = number.type;
    found.shown = shown_with(kind_, number);
    found.role = NamedQuantity::Role::constant;
    found.constant = number.value;
    return found;
  }
  return entity_ ? named_of_entity(plan_, *entity_, name) : named(kind_, 0, name);
}

std::optional<NamedQuantity> PlanScope::of(std::string_view id, std::string_view name) const {
  const std::uint32_t entity = owner(id);
  if (entity == no_index) return {};
  return named_of_entity(plan_, plan_.entities[entity], name);
}

bool PlanScope::is_owner(std::string_view id) const { return owner(id) != no_index; }

std::vector<std::string_view> PlanScope::names(std::string_view id) const {
  std::vector<std::string_view> names;
  if (!id.empty()) {
    if (const std::uint32_t entity = owner(id); entity != no_index) add_names(*plan_.entities[entity].kind, names);
    return names;
  }
  for (const WithNumber& number : with_) names.push_back(number.name);
  add_names(kind_, names);
  for (const std::string_view other : plan_.ids()) names.push_back(other);
  return names;
}

std::optional<std::uint32_t> PlanScope::station_pressure_slot() const {
  const auto index = site_kind().quantity("station_pressure");
  if (!index || plan_.entities.empty()) return {};
  return plan_.entities.front().quantity_slot(*index);
}

}  // namespace overwinter
