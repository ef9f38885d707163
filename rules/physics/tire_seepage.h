// The slow natural loss of a sound tire: air seeps through the rubber, faster when it is warm. Valves, beads and rims
// that leak are not seepage; they leak in the cold too.
#pragma once

#include "rules/physics/outcome.h"
#include "rules/quantity/strong.h"

namespace overwinter {

inline constexpr Seconds tire_month{30.4375 * 86400};  // 365.25 / 12 days: the month of rates "per month"

// A rate at 70 degF (21.1 degC), up to 1 per month, and an activation energy in J/mol, 0..150e3.
struct Seepage {
  RatePerSecond at_70_degF;
  double activation_energy;
};

// 1.5 % a month (plausible 0.8..3) and 45 kJ/mol (plausible 27..74).
// Sources disagree: "Pressure Loss Mechanisms in Pneumatic Tires", Tire Science and Technology 13 (1985), abstract:
// 0.5..1 psi a month at 70 degF and about 1.5 psi at 90 degF, hence 27..74 kJ/mol; Consumer Reports, October 2007: 31
// tires lost 3.5 of 30 psi in a year outdoors, 1.03 % a month at a lower mean temperature. Both fit these figures in a
// temperate climate. The energy agrees with butyl rubber's 45..52 kJ/mol (van Amerongen, from memory).
inline constexpr Seepage typical_seepage{RatePerSecond(0.015 / tire_month.value), 45e3};

// Continuous loss rate of the gauge pressure at a temperature (x tire_month = fraction per month): what is left falls
// exponentially, because air stands outside too.
// Arrhenius. -40..60 degC; a factor of 2 (one sigma) within -20..40 degC, more outside, where cold rates are too small
// to matter. At 0 degC a quarter of the rate at 21 degC, at -10 degC a ninth.
Outcome<RatePerSecond> tire_seepage(Temperature temperature, Seepage model = typical_seepage);

}  // namespace overwinter
