// A camper in the cold under one alarm, in and out of its season: what the tests of an alarm's life tell stories of.
#pragma once

#include <memory>
#include <set>
#include <string>
#include <string_view>

#include "tests/rules/engine/story.h"

namespace overwinter {

inline const std::string alarm_camper = std::string(thermometers) + R"(
season: {lay_up: 2026-12-02, return_to_service: 2027-04-20}
rules_from: [rules.yaml]
)";

inline std::shared_ptr<const Plan> alarm_plan(std::string_view more = {}) {
  return plan_of(alarm_camper, camper_cold(more));
}

inline const std::set<std::string_view> all_of_its_life{"camper_cold", "colder", "command_refused", "gear_taken_out",
                                                        "gear_put_back"};

}  // namespace overwinter
