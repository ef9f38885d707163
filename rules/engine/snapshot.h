// The whole state as bytes, in sections named by what they are of: "alarm/RULE/GEAR", "series/GEAR/QUANTITY",
// "model/GEAR", ... so that the same bytes serve a restart and a reload with another plan.
#pragma once

#include <memory>
#include <string>
#include <string_view>

#include "rules/engine/world.h"
#include "rules/result.h"

namespace overwinter {

std::string take_snapshot(const World& world);
Result<std::unique_ptr<World>> restore_world(std::shared_ptr<const Plan> plan, std::string_view bytes);

}  // namespace overwinter
