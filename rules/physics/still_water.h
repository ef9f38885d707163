// Freezing of still water in a tube, and the cold it has been exposed to.
//
// Cooling to 0 degC: ASHRAE Handbook Fundamentals 2009 ch. 23 eq. 1 (also 2019); it reproduces the
// chapter's published examples. Freezing solid: the equation of R. Plank (1913) for a long cylinder
// with an added resistance (ASHRAE Handbook Refrigeration, freezing times, from memory), derived for a
// tube here. Uncertain by a factor of 1.5 (film coefficient, supercooling): one sigma 25 % (estimate).
// The first ice can block a tube long before it is solid: warn at the time to 0 degC. Clean water
// supercools to -3..-7 degC first (Gilpin 1977, from memory), which is not counted on.
#pragma once

#include "rules/physics/heat_transfer.h"
#include "rules/physics/outcome.h"
#include "rules/quantity/strong.h"

namespace overwinter {

struct WaterTube {
  Length inner_diameter;
  Length wall;
  Length insulation{0};                     // thickness around the tube
  ThermalConductivity of_wall{0.41};        // cross-linked polyethylene; copper 390
  ThermalConductivity of_insulation{0.04};  // foam
  HeatTransferCoefficient film{8};          // still air, radiation included; 25 in wind
};

struct FreezingTime {
  Seconds to_zero;   // from the start until the water is at 0 degC
  Seconds to_solid;  // from then on until it is ice throughout

  Seconds total() const { return to_zero + to_solid; }
};

// For a tube full of still water at `start` (0 degC and up to 100) in air of constant temperature below
// 0 degC down to -100. Inner diameter 1 mm..1 m; thicknesses not negative.
Outcome<FreezingTime> freezing_time(const WaterTube& tube, Temperature start, Temperature air);

// The total for a bare plastic tube in still air: from the start until it is frozen solid.
Outcome<Seconds> pipe_freezing_time(Length inner_diameter, Length wall, Temperature start, Temperature air);

using TemperatureTime = Amount<struct TemperatureTimeTag>;  // K s (1 K h = 3600 K s)

// What a spell at constant temperature adds to the exposure below a base: max(0, base - t) times the
// duration. In proportion to it ice grows on still water. Exact; base 0 degC is usual, and -6.7 degC
// (20 degF) is the alert threshold for water pipes of the Building Research Council, University of
// Illinois (Gordon 1996, known from secondary pages).
TemperatureTime exposure_below(Temperature base, Temperature t, Seconds duration);

}  // namespace overwinter
