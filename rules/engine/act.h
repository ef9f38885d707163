// Work that changes what to expect, on the board: of an act that was told and the site file's own, the newer counts.
#pragma once

#include "rules/engine/world.h"

namespace overwinter {

// Sets the parameters that `act` tells, and blanks those that were of the work before it (the weather at the last
// fill). False, and nothing is set: the site file tells of newer work.
bool apply_act(World& world, std::uint32_t entity, const ActSpec& spec, const RecordedAct& act);

}  // namespace overwinter
