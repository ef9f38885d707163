// Pure propane in equilibrium, and what a cylinder of it holds.
//
// Source of the equations: ancillary equations of Lemmon, McLinden, Wagner, J. Chem. Eng. Data 54 (2009) 3141; they
// follow the full equation of state within 0.005 % (pressure), 0.003 % (liquid) and 0.03 % (vapor) over -50..50 degC.
// Commercial propane with its ethane and propylene stands 10..15 % higher in pressure. Pressure says nothing about the
// contents while any liquid is left. Range -50..60 degC. One sigma 0.02 % for pure propane.
//
// Propane is flammable and heavier than air. Cylinders are filled, repaired and requalified by the licensed trade.
#pragma once

#include "rules/physics/outcome.h"
#include "rules/quantity/strong.h"

namespace overwinter {

Outcome<AbsolutePressure> propane_vapor_pressure(Temperature temperature);

// Against the station pressure, 50..110 kPa. Below -42 degC it is negative: appliances starve long before.
Outcome<GaugePressure> propane_gauge_pressure(Temperature temperature, AbsolutePressure station_pressure);

// Saturated liquid and vapor.
Outcome<Density> propane_liquid_density(Temperature temperature);
Outcome<Density> propane_vapor_density(Temperature temperature);

// The temperature at which a closed cylinder is full of liquid, when liquid fills liquid_fraction of its volume at
// `temperature`: rho_l(T) = f rho_l(T0) + (1 - f) rho_v(T0). Mass balance in a rigid cylinder, no source needed.
// fraction 0..1. No value where that is not reached below 90 degC. 80 % at 60 degF: 68 degC; 90 % at -20 degC: 20 degC.
Outcome<Temperature> propane_liquid_full(Share liquid_fraction, Temperature temperature);

// Contents from the weights: gross - tare (TW on the collar). Up to 0.5 kg below the tare is the error of scale and
// stamp, and is empty; more is no value. One sigma 0.25 kg.
Outcome<Mass> propane_contents(Mass gross, Mass tare);

// Share of the permitted filling, 0.42 of the water capacity (WC on the collar) by mass: NFPA 58 maximum filling
// density for specific gravity 0.504..0.510 (from memory; trade pages agree). Above 1 the cylinder is overfilled: for
// the trade to put right, outdoors. Contents 0..the water capacity, water capacity 1..500 kg.
Outcome<Share> propane_fill_fraction(Mass contents, Mass water_capacity);

// Share of the volume that is liquid, never below 0 (vapor only). Volume: the water capacity at 60 degF, 999.01 kg/m3.
// No value where the cylinder cannot hold that much.
Outcome<Share> propane_liquid_fraction(Mass contents, Mass water_capacity, Temperature temperature);

}  // namespace overwinter
