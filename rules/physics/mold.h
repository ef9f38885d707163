// Mold growth on surfaces: the VTT model (index 0..6).
//
// Sources: A. Hukka and H. Viitanen, "A mathematical model of mould growth on wooden material", Wood
// Sci. Technol. 33 (1999) 475-485; material classes by T. Ojanen et al., "Mold growth modeling of
// building structures using sensitivity classes of materials", Thermal Performance of the Exterior
// Envelopes XI (2010). Pine, resawn (W = SQ = 0) under the 2010 classes. Equations and coefficients
// taken from two independent public implementations that agree; the originals were not read.
//
// Index: 0 none; 1 first growth, microscope only; 2 several colonies, microscope only; 3 visible, less
// than 10 % of the surface; 4 visible, 10..50 %; 5 more than 50 %; 6 dense, about 100 %.
//
// Growth between 0 and 50 degC only. Uncertainty: a factor of 2 in time is usual between model and
// laboratory: one sigma 40 % of any duration (estimate). An order of dangers, not a promise.
// t and rh are those at the surface; rh over water.
#pragma once

#include <cstdint>

#include "rules/physics/outcome.h"
#include "rules/quantity/strong.h"

namespace overwinter {

enum class MoldClass : std::uint8_t {
  very_sensitive,    // pine sapwood
  sensitive,         // planed wood, glued boards, plywood, paper-faced board
  medium_resistant,  // plastics, vinyl, laminate, mineral wool, cement
  resistant,         // glass, metal
};

// Humidity from which mold grows, 0.80..1 (0.85..1 for the resistant classes); t between 0 and 50 degC.
// max(-0.00267 t^3 + 0.160 t^2 - 3.13 t + 100, minimum of the class) up to 20 degC, the minimum above.
// One sigma 0.03 (estimate, spread of published limit lines).
Outcome<Share> mold_critical_humidity(Temperature t, MoldClass mold_class);

// The index that conditions can sustain, A + B x - C x^2 with x = (RH_c - RH)/(RH_c - 100), 0..6.
Outcome<double> mold_maximum_index(Temperature t, Share rh, MoldClass mold_class);

// Growth of the index in 1/s: k1 k2/(7 t_m) a day, k2 = max(1 - exp(2.3 (M - M_max)), 0), with the weeks
// on pine to index 1, t_m = exp(-0.68 ln t - 13.9 ln RH + 66.02); 0 below the critical humidity and
// outside 0..50 degC. rh 0..1, index 0..6.
Outcome<RatePerSecond> mold_growth_rate(double index, Temperature t, Share rh, MoldClass mold_class);

// Months of history; plain data, to be saved and loaded by the caller.
struct MoldState {
  double index = 0;
  std::uint32_t hours_off = 0;  // hours since conditions last allowed growth

  bool operator==(const MoldState&) const = default;
};

// The state one hour on, at surface conditions t and rh. Above 1 (a wet surface) rh counts as 1.
// Without growth the index declines on wood by 0.032 a day for 6 h, not for the next 18 h, then by
// 0.016 a day (Hukka & Viitanen 1999), times `decline`: 1 pine, 0.5, 0.25, 0.1 for materials that lose
// mold more slowly (Ojanen et al. 2010, from memory). decline 0..1.
Outcome<MoldState> mold_after_hour(MoldState state, Temperature t, Share rh, MoldClass mold_class, double decline = 1);

// How long until mold is visible (index 3) on a clean surface at constant conditions. The growth
// equation integrated in closed form; the hourly steps of mold_after_hour agree within 0.5 % or 2 h.
// No value where it never gets there.
Outcome<Seconds> mold_time_to_visible(Temperature t, Share rh, MoldClass mold_class);

}  // namespace overwinter
