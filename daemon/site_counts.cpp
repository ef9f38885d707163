#include "daemon/site_counts.h"

#include "rules/gear/kind.h"
#include "rules/quantity/in_words.h"

namespace overwinter {

SiteCounts count_site(const Plan& plan) {
  SiteCounts counts;
  for (std::uint32_t i = 0; i < plan.entities.size(); ++i) {
    const KindSpec* kind = plan.entities[i].kind;
    if (kind == &site_kind() || plan.is_nowhere(i) || (i == plan.outdoors && !plan.outdoors_given)) continue;
    ++(kind == &place_kind() ? counts.places : counts.gear);
  }
  counts.sensors = plan.sensors.size();
  counts.rules = plan.rules.size();
  return counts;
}

std::string in_words(const SiteCounts& counts) {
  return counted(counts.places, "place", "places") + ", " + counted(counts.gear, "piece of gear", "pieces of gear") +
         ", " + counted(counts.sensors, "sensor", "sensors") + ", " + counted(counts.rules, "rule", "rules");
}

}  // namespace overwinter
