// Lay-up and return to service. The season ends nothing by itself: only rules that say season: laid_up rest outside it,
// and it ends when the person says that the camper is back.
#pragma once

#include "rules/engine/world.h"

namespace overwinter {

// Start of the present season: the date that a person told, unless the site file's lies after the return that ended it.
Instant season_begins(const World& world);

// A rule of the laid-up season rests outside it.
bool out_of_season(const World& world, const RuleSpec& rule);

// Works out whether the camper is laid up now; marks what depends on it when that changed, and arms the next change.
void settle_season(World& world);

}  // namespace overwinter
