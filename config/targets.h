// What a rule or reminder applies to, and the numbers under its `with:`.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "config/definitions.h"
#include "config/plan_scope.h"
#include "config/sections.h"

namespace overwinter {

// The entities, in plan order. `sample`: when there are none, the kind that conditions are checked for.
struct Targets {
  std::vector<std::uint32_t> entities;
  const KindSpec* sample = nullptr;
};

// node nullptr: the site.
std::optional<Targets> read_targets(const YamlNode* applies_to, Draft& draft);

// `for` names gear that the definition is not about: its numbers change nothing.
void warn_of_others(const Definition& definition, const Targets& targets, Draft& draft);

// The numbers under `with:`; where `for:` names the entity, its own ones instead. Reports for each definition once.
class WithNumbers {
 public:
  WithNumbers(const Definition& definition, Draft& draft);
  std::vector<WithNumber> of(std::string_view id) const;

 private:
  void check_name(const YamlNode& key, Draft& draft);

  std::vector<WithNumber> general_;
  struct OfGear {
    std::string id;
    std::vector<WithNumber> numbers;
  };
  std::vector<OfGear> of_gear_;
};

}  // namespace overwinter
