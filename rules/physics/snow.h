// Density and load of snow on a roof from its depth.
//
// Source: M. Sturm et al., "Estimating Snow Water Equivalent Using Snow Depth Data and Climate
// Classes", J. Hydrometeorol. 11 (2010) 1380-1394, eq. 6 and table 4:
//   rho = (rho_max - rho_0)(1 - exp(-k1 d - k2 DOY)) + rho_0,   d in cm
// It describes the season's pack on the ground. Fresh snow on a roof is far lighter, 50..150 kg/m3
// (common practice, no source), and rain on snow adds all its water. Other published lines give about
// half the load for 30..60 cm: take the answer as the upper side. One sigma 20 % (estimate).
#pragma once

#include <cstdint>

#include "rules/physics/outcome.h"
#include "rules/quantity/strong.h"

namespace overwinter {

enum class SnowClass : std::uint8_t { alpine, maritime, prairie, tundra, taiga };

// Bulk density. depth 0..5 m; day_of_season is the day of the year counted from 1 January as in the
// source, autumn negative: -92 (1 October) .. 181 (30 June).
Outcome<Density> snow_density(Length depth, int day_of_season, SnowClass snow_class);

// Load on a horizontal roof, Pa: rho g d, g 9.80665 m/s2 (1 kPa = 20.885 lb/ft2). depth 0..5 m, density
// 0..917 kg/m3 (ice). Exact: the uncertainty is that of depth and density.
Outcome<PressureDifference> snow_load(Length depth, Density density);

}  // namespace overwinter
