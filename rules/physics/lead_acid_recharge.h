// Charging a 12 V lead-acid block: at which voltage, and for how long.
// Charging gives off explosive gas: ventilate, no sparks, eye protection, and never charge a battery that may be
// frozen. The maker's charging instructions come first.
#pragma once

#include "rules/physics/outcome.h"
#include "rules/quantity/strong.h"

namespace overwinter {

// Compensated charge voltage of six cells: V25 + 6 coefficient (T - 25 degC). The coefficient is per cell and negative,
// -10..0 mV/K. Not capped for what is connected to it. -40..50 degC, 12..16 V.
// Sources disagree on it: -5 mV/K (Trojan, flooded and gel absorption), -4.5 and -3.5 (a charger maker, flooded/gel and
// AGM), -3 (float). Taken: -5 flooded and gel, -3.5 AGM, -3 float. One sigma 0.1 V at -10 degC.
Outcome<Voltage> charge_voltage(Voltage voltage_at_25_degC, Temperature temperature, VoltagePerKelvin coefficient);

// Time to bring the charge from one share to another with a charger of limited current while a load stays connected.
// Charger up to C/10: constant net current, divided by the efficiency. Larger: full current to 80 %, then 0.4 of it
// (taper). efficiency: of charge, 0.85 flooded, 0.95 AGM and gel; 0.5..1. Common practice, no source. One sigma 30 %
// from 20 % to 100 %, more below; 1..4 h of absorption hold come on top. No value where the load eats the current.
Outcome<Seconds> charge_time(Charge capacity, Share from, Share to, Current current, Current load, Share efficiency);

}  // namespace overwinter
