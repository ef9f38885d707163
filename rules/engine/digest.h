// The weekly digest: what the week brought, and that all is well, when enough of the week was watched to say so.
#pragma once

#include "rules/engine/world.h"

namespace overwinter {

void arm_digest(World& world);
// After a reload or a downtime: the one that is due stays due, unless the site file has another day or hour now.
void arm_reloaded_digest(World& world);
void tell_digest(World& world);

}  // namespace overwinter
