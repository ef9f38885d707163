// Propylene glycol in water: when ice begins, and when a pipe bursts. Fractions are by volume at 20 degC.
// Never ethylene glycol in a drinking water system: it is toxic.
#pragma once

#include "rules/physics/outcome.h"
#include "rules/quantity/strong.h"

namespace overwinter {

// Where the first ice forms. 0..59 % (60 % by mass).
// Source: Melinder 2010 polynomial in the mass fraction, which follows from densities 1036 and 998.2 kg/m3 at 20 degC.
// One sigma 0.5 K by mass, 1.3 K by volume. Lange's Handbook, 15th ed., table 5.13 is 0.2..1.3 K warmer from 10 % on:
// keep a margin of 2 K.
Outcome<Temperature> glycol_freezing_point(Share volume_fraction);

// Down to where slush still gives way and the pipe holds. 0..60 %; linear in a table that ends at 35 %, from where on
// the answer stays -60 degF, the lowest that is claimed.
// Source: Dow engineering guide for inhibited propylene glycol (from memory). Labels promise more of undiluted fluid;
// independent trials agree with this table. One sigma 5 K.
Outcome<Temperature> glycol_burst_point(Share volume_fraction);

// Volume fraction after antifreeze of one fraction has mixed with water left in the line. Volumes not negative, not
// both zero; shrinkage on mixing is neglected.
Outcome<Share> diluted_fraction(Share antifreeze_fraction, Volume antifreeze, Volume water);

}  // namespace overwinter
