// What names mean in the conditions of one rule on one piece of gear.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "rules/engine/plan.h"
#include "rules/language/scope.h"

namespace overwinter {

// A number under `with:`.
struct WithNumber {
  std::string name;
  double value = 0;  // canonical
  Type type;
  Shown shown = Shown::by_dimension;
};

class PlanScope final : public Scope {
 public:
  // For an entity of the plan.
  PlanScope(const Plan& plan, std::uint32_t entity, std::span<const WithNumber> with);
  // For a kind of which the site has none: conditions are checked, never run. It stands outdoors.
  PlanScope(const Plan& plan, const KindSpec& kind, std::span<const WithNumber> with);

  std::optional<NamedQuantity> own(std::string_view name) const override;
  std::optional<NamedQuantity> of(std::string_view owner, std::string_view name) const override;
  bool is_owner(std::string_view id) const override;
  std::vector<std::string_view> names(std::string_view owner) const override;
  std::optional<std::uint32_t> station_pressure_slot() const override;
  const TimeZone& zone() const override { return plan_.zone; }
  const KindSpec& kind() const { return kind_; }

 private:
  // The owner's entity, or no_index.
  std::uint32_t owner(std::string_view id) const;

  const Plan& plan_;
  const KindSpec& kind_;
  const Entity* entity_ = nullptr;  // none: of a kind, and nothing is known yet of what is bound
  std::uint32_t place_;
  std::span<const WithNumber> with_;
};

}  // namespace overwinter
