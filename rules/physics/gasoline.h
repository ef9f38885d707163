// The vapor pressure of gasoline: why summer fuel starts badly in winter.
#pragma once

#include "rules/physics/outcome.h"
#include "rules/quantity/strong.h"

namespace overwinter {

// True vapor pressure at a temperature of a gasoline of Reid vapor pressure rvp (absolute, at 100 degF; ASTM D4814
// classes AA to E: 7.8..15 psi). rvp 7..15 psi (48.2..103.5 kPa), -20..100 degF (-28.9..37.8 degC).
// Source: EPA AP-42 chapter 7.1, equation of figure 7.1-13a with slope S = 3 (from memory; agrees within 0.2 psi with
// that chapter's table). One sigma 5 % from 0 degF up, 15 % below, where it is extrapolated.
Outcome<AbsolutePressure> gasoline_vapor_pressure(AbsolutePressure rvp, Temperature temperature);

}  // namespace overwinter
