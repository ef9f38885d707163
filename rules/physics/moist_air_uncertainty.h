// What the uncertainty of the thermometer and of the humidity sensor does to derived quantities.
//
// Law of propagation for uncorrelated inputs, first order (JCGM 100:2008, 5.1.2), with the exact
// derivatives of the formulas. Linear: feed one-sigma values and get one sigma, or feed k = 2 and get
// k = 2. Inputs must not be negative. Formula errors (vapor_saturation.h) are not in; they are some
// 0.03 % of pressure, sixty times less than a sensor of +-3 %.
#pragma once

#include "rules/physics/moist_air.h"
#include "rules/quantity/strong.h"

namespace overwinter {

PressureDifference vapor_pressure_uncertainty(const MoistAir& air, TemperatureStep u_t, Share u_rh);
Density absolute_humidity_uncertainty(const MoistAir& air, TemperatureStep u_t, Share u_rh);
PressureDifference vapor_pressure_deficit_uncertainty(const MoistAir& air, TemperatureStep u_t, Share u_rh);

}  // namespace overwinter
