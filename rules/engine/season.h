// Lay-up and return to service. The season ends nothing by itself: only rules that say season: laid_up rest outside it,
// and it ends when the person says that the camper is back.
#pragma once

#include "rules/engine/world.h"

namespace overwinter {

// Works out whether the camper is laid up now; marks what depends on it when that changed, and arms the next change.
void settle_season(World& world);

}  // namespace overwinter
