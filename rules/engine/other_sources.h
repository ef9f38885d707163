// What is known otherwise since a reload: by another sensor, or in other air.
#pragma once

#include <cstdint>
#include <vector>

#include "rules/engine/world.h"
#include "rules/language/message_template.h"
#include "rules/language/program.h"

namespace overwinter {

struct OtherSources {
  std::vector<std::uint32_t> slots;  // whose sensor is another one
  std::vector<std::uint32_t> gear;   // whose model knows the air around it otherwise

  // Whether a model makes of them what is read: of its own gear's, its place's or the outdoors'.
  bool are_behind(const World& world, const Program& program) const;
  bool are_behind(const World& world, const MessageTemplate& message) const;
};

}  // namespace overwinter
