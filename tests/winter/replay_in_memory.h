// Captured messages through an engine, in memory: what the winters and their checks share.
#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "rules/engine/event.h"
#include "rules/engine/input.h"
#include "rules/engine/plan.h"

namespace overwinter {

std::vector<Input> inputs_of(const std::shared_ptr<const Plan>& plan, std::string_view capture);

struct Replayed {
  std::vector<Event> events;
  std::string lines;     // the events as JSON Lines
  std::string snapshot;  // the state at the end
  std::size_t refused = 0;
};

// At each input whose index is in `cuts` (ascending) the engine is thrown away and restored from its snapshot.
Replayed replay_in_memory(const std::shared_ptr<const Plan>& plan, const std::vector<Input>& inputs,
                          const std::vector<std::size_t>& cuts = {});

}  // namespace overwinter
