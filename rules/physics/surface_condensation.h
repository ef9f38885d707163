// Condensation and frost on the surfaces of a room: how cold a surface is, and how fast it gets wet or
// frosts.
//
// Steady surface temperature by the temperature factor of ISO 13788:2012,
// f_Rsi = (t_si - t_e)/(t_i - t_e). Factors computed here from the standard's resistances: 4 mm glass
// 0.25, bare 1 mm aluminum 0.24, 25 mm foam sandwich 0.85; aluminum frames, studs and hatch rims
// 0.25..0.5 (estimate). One sigma of a factor 0.05 (estimate), 0.5 K at 10 K difference. Under a clear
// night sky a skin can be up to 4 K colder than this (ASHRAE Fundamentals 2017 ch. 18, from memory).
#pragma once

#include "rules/physics/heat_transfer.h"
#include "rules/physics/moist_air.h"
#include "rules/physics/outcome.h"
#include "rules/quantity/strong.h"

namespace overwinter {

using MassFlux = Amount<struct MassFluxTag>;  // kg/(m2 s)

// Temperature of an inside surface, degC: outside + factor (inside - outside). Factor 0..1.
Outcome<Temperature> surface_temperature(Temperature inside, Temperature outside, Share factor);

// Still air on an indoor surface (common practice, no source).
inline constexpr HeatTransferCoefficient still_air_film{3};

// Rate at which water condenses or frosts on a surface (negative: could dry off), kg/(m2 s), from air
// at pressure p (20..200 kPa). Chilton-Colburn analogy, ASHRAE Fundamentals ch. 6 (from memory):
// h_m = h_c/(rho cp Le^(2/3)), Le^(2/3) = 0.9, rho = p/(287.042 T), cp = 1006 J/(kg K); saturation at
// the surface over ice below 0 degC. Uncertain by a factor of 2 through h_c: one sigma 40 % (estimate).
Outcome<MassFlux> deposit_flux(const MoistAir& air, Temperature surface, AbsolutePressure p,
                               HeatTransferCoefficient film = still_air_film);

}  // namespace overwinter
