// What a tire filled at one temperature reads at another: the ideal gas law in a rigid carcass, and the small
// correction that moist fill air asks for.
//
// Station pressure is the barometric pressure at the place, not reduced to sea level. A true gauge reads against it. A
// sealed sensor subtracts a fixed reference instead: give that reference as the station pressure of its readings.
// Temperatures are those of the air inside the tire. Rule of thumb "1 psi per 10 degF" is not used: the exact figure is
// 0.94 psi at 35 psi and 1.8 psi at 80 psi.
//
// Ranges: -40..60 degC; fill gauge 0..120 psi (827.4 kPa); station pressure 50..110 kPa.
// One sigma: 2..3.5 kPa (0.3..0.5 psi) with good temperatures, 10 kPa (1.5 psi) where the fill temperature is a guess.
#pragma once

#include "rules/physics/outcome.h"
#include "rules/quantity/strong.h"

namespace overwinter {

inline constexpr double pascals_per_psi = 6894.757293168;            // exact, from the pound, the inch and g
inline constexpr Temperature normal_temperature{20};                 // of normalized pressures, at one atmosphere
inline constexpr GaugePressure highest_fill{120 * pascals_per_psi};  // above: not a road trailer's tire

// What a true gauge shows where a sealed sensor reads this: it does not feel the air outside.
constexpr GaugePressure true_gauge(GaugePressure sealed, AbsolutePressure reference,
                                   AbsolutePressure station_pressure) {
  return gauge(absolute(sealed, reference), station_pressure);
}

// Gauge pressure now of a tire that held fill_pressure at fill_temperature.
// Source: ideal gas law at constant volume; the belted carcass stretches by less than 0.5 % (common practice, no
// source). The answer may be below zero: a nearly flat tire in the cold reads so on a sealed gauge. Real air reads less
// in the cold, filled at 20 degC and read at -20 degC by 0.4 kPa at 35 psi and 1.5 kPa at 80 psi (full equation of
// state of air, Lemmon, Jacobsen, Penoncello, Friend, J. Phys. Chem. Ref. Data 29 (2000) 331): below any sensor's
// error.
Outcome<GaugePressure> tire_pressure(GaugePressure fill_pressure, Temperature fill_temperature, Temperature temperature,
                                     AbsolutePressure fill_station_pressure, AbsolutePressure station_pressure);

// What the tire would read at 20 degC and one standard atmosphere (ISO 2533): readings of any day become comparable.
// Reading -52..1000 kPa gauge (a flat tire on a sealed sensor at height reads below zero; a hot tire reads above its
// fill). Source and uncertainty as tire_pressure.
Outcome<GaugePressure> normalized_pressure(GaugePressure pressure, Temperature temperature,
                                           AbsolutePressure station_pressure);

// The inverse: the gauge pressure to set at this temperature so that the tire has cold_pressure at 20 degC and one
// atmosphere. The caller holds it to the sidewall's maximum. cold_pressure 0..120 psi.
Outcome<GaugePressure> pressure_to_set(GaugePressure cold_pressure, Temperature temperature,
                                       AbsolutePressure station_pressure);

// To add to tire_pressure where the fill air was moist: the pressure of the vapor that has condensed, never above zero.
// humidity_in_tire is the relative humidity inside just after filling: 1 from a compressor without a dryer, 0..0.2 for
// dry nitrogen (common practice, no source). Independent of the pressure. -40..45 degC. Water that lies in the tire as
// liquid is not covered: it evaporates again on warming.
// Source: vapor as an ideal gas, saturated as in vapor_saturation.h, over water from 0 degC, over ice below. 25 degC to
// -10 degC: -2.5 kPa. One sigma: the whole correction where the humidity is a guess.
Outcome<PressureDifference> moist_fill_correction(Temperature fill_temperature, Temperature temperature,
                                                  Share humidity_in_tire);

}  // namespace overwinter
