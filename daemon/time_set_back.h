// After time was set back (one boot into a wrong year, and then the right time came): the journal holds inputs that lie
// ahead. The state is made anew from it, so that calendar work goes on; the engine's own time never goes back. Pure.
#pragma once

#include <optional>
#include <string_view>

#include "daemon/journaled_input.h"

namespace overwinter {

// An input of the journal as it counts at `as_of`. What lies at or before it stands. Of what lies ahead nobody knows
// the time: what people said (a command, also under another root than the present `topic_root`, which it then stands
// under) counts as said at `as_of`; readings and all else are left out.
std::optional<JournaledInput> as_of(const JournaledInput& input, Instant as_of, std::string_view topic_root);

}  // namespace overwinter
