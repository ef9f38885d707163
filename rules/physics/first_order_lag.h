// A body or a space whose temperature follows another with one time constant:
// dT/dt = (T_driving - T)/tau, solved exactly for a driving temperature that stands still.
//
// Newton's law of cooling; the one-node RC model usual in building physics. Time constants to go with
// it are estimates: thin skin 0.2..0.5 h, furniture and mattress 3..8 h, appliance or battery 6..24 h,
// air and lining of a closed camper 3..8 h, heavy garage 10..40 h. Their uncertainty (a factor of 1.5)
// is that of the answers; the mathematics are exact.
#pragma once

#include "rules/physics/outcome.h"
#include "rules/quantity/strong.h"

namespace overwinter {

// How long until a body that cools has come down to the limit: tau ln((T - T_out)/(T_limit - T_out)).
// 0 when it is at or below the limit already; no value when it never gets there, because the
// surroundings are at or above the limit.
Outcome<Seconds> time_until_cooled(Temperature present, Temperature surroundings, Temperature limit,
                                   Seconds time_constant);

}  // namespace overwinter
