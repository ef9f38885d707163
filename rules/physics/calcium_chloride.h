// Calcium chloride as moisture absorber: brine, the humidity from which the salt melts, and the mass
// of a tub.
//
// Source: M. R. Conde, "Properties of aqueous solutions of lithium and calcium chlorides", Int. J.
// Thermal Sci. 43 (2004) 367-382. `fraction` is kg of anhydrous CaCl2 per kg of solution. Fitted for
// 0..100 degC; below 0 degC an extrapolation with the vapor pressure of supercooled water. One sigma of
// the water activity 0.02 (against a salt database, Steiger et al. 2014, and the CRC Handbook's line).
// A tub in the cold: the driving force at -10 degC is a tenth of that at 20 degC, and "does not work
// below freezing" is common practice. The brine corrodes aluminum and battery terminals.
#pragma once

#include "rules/physics/outcome.h"
#include "rules/quantity/strong.h"

namespace overwinter {

// Water activity of brine, vapor pressure over that of pure water, 0..1. fraction 0.01..0.6, or exactly
// 0 for water (the fit does not tend to 1); t -40..100 degC. One sigma 0.02.
Outcome<Share> brine_water_activity(Share fraction, Temperature t);

// Temperature at which a solid first forms in brine on cooling: ice up to a fraction of 0.298, hydrates
// of the salt above. fraction 0..0.6; answers below -40 degC are withheld (the ice line is 5 K too cold
// at the eutectic). One sigma 2 K.
Outcome<Temperature> brine_boundary(Share fraction);

// Fraction of brine saturated with salt, from the boundary. t -40..60 degC; one sigma 0.005.
Outcome<Share> brine_saturation(Temperature t);

// Deliquescence humidity, over water: the water activity of saturated brine, 0.43 at 0 degC, 0.34 at
// 20 degC. Drier air takes nothing up and dries the tub. t -40..58.8 degC; one sigma 0.02.
Outcome<Share> deliquescence_humidity(Temperature t);

// Fraction of brine in equilibrium with air. None below the deliquescence humidity, and none above the
// water activity at a fraction of 0.01 (about 0.998). Water taken per salt: (1 - fraction)/fraction.
Outcome<Share> brine_equilibrium(Temperature t, Share rh);

// Uptake of an absorber with undissolved salt against that at 20 degC and 80 %: the ratio of driving
// forces (rh - DRH) e_w(t); negative in air that dries it. t -40..58.8 degC; one sigma 10 %.
Outcome<double> absorber_rate_factor(Temperature t, Share rh);

// Whether an absorber is at work: above 0 degC and at least 5 % above the deliquescence humidity
// (common practice, no source).
Outcome<bool> absorber_works(Temperature t, Share rh);

using UptakeCoefficient = Amount<struct UptakeCoefficientTag>;  // kg/(s Pa)

// A tub of 200 cm2 in still air: 0.0016 g/(h Pa), estimate; refined from two weighings.
inline constexpr UptakeCoefficient usual_uptake{0.0016e-3 / 3600};

// Contents of a tub, to be saved by the caller.
struct AbsorberTub {
  Mass salt;   // anhydrous: flakes are 77..80 % of it, pellets 94..97 % (from memory)
  Mass water;  // taken up, and that of the product as bought

  Mass total() const { return salt + water; }
};

// Contents after a step of at most one hour in air t, rh: dm/dt = K (e - a_w e_w), a_w that of saturated
// brine while salt is undissolved, else that of the brine. Explicit step; a tub does not go below dry.
// One sigma 20 % of the gain once K is refined, a factor of 2 before (estimate).
Outcome<AbsorberTub> tub_after(AbsorberTub tub, Temperature t, Share rh, Seconds step,
                               UptakeCoefficient uptake = usual_uptake);

}  // namespace overwinter
