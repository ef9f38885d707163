// The kinds of gear, one function each; the list of all of them is all_kinds() in kind.h.
#pragma once

#include "rules/gear/kind.h"

namespace overwinter {

const KindSpec& tire_kind();
const KindSpec& lead_acid_battery_kind();
const KindSpec& generator_kind();
const KindSpec& door_or_vent_kind();
const KindSpec& gateway_kind();
const KindSpec& dated_item_kind();

}  // namespace overwinter
