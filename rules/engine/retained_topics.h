// The topics under which a plan's state stands retained. Pure.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "rules/engine/plan.h"

namespace overwinter {

struct RetainedTopic {
  enum class Of : std::uint8_t { quantity, alarm, reminder };
  Of of = Of::quantity;
  std::uint32_t index = 0;  // slot, alarm or reminder of the plan
  std::string name;
};

// What is told first leaves first: alarms, then reminders, then the quantities that are measured (also those that
// nobody brings yet: their topics hold nothing), that a rule or reminder uses or that the site publishes.
std::vector<RetainedTopic> retained_topics(const Plan& plan);

}  // namespace overwinter
