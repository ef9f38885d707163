// How much a site holds, for whoever checks or reloads its file. Pure.
#pragma once

#include <cstddef>
#include <string>

#include "rules/engine/plan.h"

namespace overwinter {

struct SiteCounts {
  std::size_t places = 0, gear = 0, sensors = 0, rules = 0;
};

SiteCounts count_site(const Plan& plan);
// "3 places, 5 pieces of gear, 12 sensors, 25 rules"
std::string in_words(const SiteCounts& counts);

}  // namespace overwinter
