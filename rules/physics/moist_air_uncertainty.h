// What the uncertainty of the thermometer and of the humidity sensor does to derived quantities.
//
// Law of propagation for uncorrelated inputs, first order (JCGM 100:2008, 5.1.2), with the exact
// derivatives of the formulas. Linear: feed one-sigma values and get one sigma, or feed k = 2 and get
// k = 2. Inputs must not be negative. Formula errors (vapor_saturation.h) are not in; they are some
// 0.03 % of pressure, sixty times less than a sensor of +-3 %. First order is poor when u(rh) is not
// small against rh. Ranges and reasons for no value: those of the quantity itself.
#pragma once

#include "rules/physics/moist_air.h"
#include "rules/physics/outcome.h"
#include "rules/quantity/strong.h"

namespace overwinter {

Outcome<PressureDifference> vapor_pressure_uncertainty(Temperature t, Share rh, TemperatureStep u_t, Share u_rh);
Outcome<TemperatureStep> dew_point_uncertainty(Temperature t, Share rh, TemperatureStep u_t, Share u_rh);
Outcome<TemperatureStep> frost_point_uncertainty(Temperature t, Share rh, TemperatureStep u_t, Share u_rh);
Outcome<Density> absolute_humidity_uncertainty(Temperature t, Share rh, TemperatureStep u_t, Share u_rh);

// Of air whose saturation is worked out.
PressureDifference vapor_pressure_uncertainty(const MoistAir& air, TemperatureStep u_t, Share u_rh);
Density absolute_humidity_uncertainty(const MoistAir& air, TemperatureStep u_t, Share u_rh);
PressureDifference vapor_pressure_deficit_uncertainty(const MoistAir& air, TemperatureStep u_t, Share u_rh);

}  // namespace overwinter
