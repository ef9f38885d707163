// The acid of a lead-acid battery: how strong it is, and when it freezes. A frozen battery is never charged: it may
// burst or explode. Warn at 5 K above the freezing point, call 2 K critical: the margin covers the errors below.
#pragma once

#include "rules/physics/outcome.h"
#include "rules/quantity/strong.h"

namespace overwinter {

// Specific gravity at 25 degC from the rested voltage of a 12 V block: V25 / 6 - 0.845. Battery -40..50 degC, 1..12.9
// V. Source: battery handbooks (Linden, Crompton, Bode; from memory); some use 0.84, which shifts the answer by 0.005.
// Below 11.07 V (at 25 degC) hardly any acid is left: the answer is 1.000, water, the cautious end. AGM and gel:
// stronger acid when full (1.30), the same line holds to a few kelvin of freezing point (common practice, no source).
// One sigma 0.005; below 12.2 V published tables are 0.01..0.017 lower.
Outcome<SpecificGravity> lead_acid_specific_gravity(Voltage voltage, Temperature temperature);
// The rested voltage of a 12 V block at 25 degC with acid of that strength, the same read backward.
Voltage lead_acid_voltage_of_acid(SpecificGravity gravity);

// Freezing point by specific gravity at 25 degC, 1.000..1.320; linear between published knots, constant above 1.280.
// Source: US Army TM 5-1185 table III and ordnance lesson for 1.100, 1.150, 1.200, 1.250, 1.280; a vehicle maker's
// manual for 1.050, 1.225. Linden's handbook agrees within 0.5 K (from memory). The column printed beside trade tables
// of charge
// (-16 degF at 1.155) is 19..23 degF too hopeful, hence dangerous; not used. One sigma 2 K by a hydrometer, 3..4 K by
// the voltage.
Outcome<Temperature> electrolyte_freezing_point(SpecificGravity gravity);

}  // namespace overwinter
