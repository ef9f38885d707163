// How a lead-acid battery left alone loses its charge, and how much of its capacity the cold leaves.
#pragma once

#include "rules/physics/lead_acid_state.h"
#include "rules/physics/outcome.h"
#include "rules/quantity/strong.h"

namespace overwinter {

// Continuous rate of self-discharge: of what is left, so charge falls as exp(-rate t). -ln(1 - r) / 30 days at 25 degC,
// doubling each 10 K. r per 30 days: flooded (antimony) 10 % (5..15; old ones 30), flooded_calcium 4 % (2..6), AGM 2 %
// (Rolls; 1..3), gel 2 % (1..3, from memory). Doubling: a VRLA maker's storage times, 6 months at 20 degC, 3 at 30
// degC, 6 weeks at 40 degC; another says only "up to 50 % faster at 35 degC": doubling is the cautious one. -40..50
// degC; a factor of 1.5..2 (one sigma) within -20..40 degC; colder the rate is too small to matter.
Outcome<RatePerSecond> lead_acid_self_discharge(Temperature temperature, LeadAcid chemistry);

// Time until the charge falls from one share to another at a constant temperature and a steady load:
// ln[(from + p/k) / (to + p/k)] / k, with p = load / capacity. capacity is the nominal one at 25 degC: self-discharge
// and a load of milliamperes draw charge, and the cold takes none of it away. Capacity above zero, load 0..100 A, 1 >=
// from >= to >= 0; with to = 0 and no load the time is infinite: no value. Uncertainty: that of the rate.
Outcome<Seconds> lead_acid_time(Temperature temperature, LeadAcid chemistry, Charge capacity, Current load, Share from,
                                Share to);

// The same by p itself, the share of the capacity that a steady load draws in a second, 0 or more: self-discharge alone
// (p = 0) takes its share of what is left, whatever the capacity.
Outcome<Seconds> lead_acid_time_by_share(Temperature temperature, LeadAcid chemistry, RatePerSecond drawn, Share from,
                                         Share to);

// Usable capacity against that at 25 degC, at slow rates: 1 + 0.006/K (T - 25 degC). -25..40 degC.
// Source: IEC 60896, 0.006 per kelvin for slow discharge (from memory); a maker's -16 % at 0 degC agrees within 2 %;
// another's 0.012 per kelvin is the pessimistic bound. One sigma 0.05 to 0 degC, 0.10 below.
Outcome<double> lead_acid_capacity_factor(Temperature temperature);

}  // namespace overwinter
