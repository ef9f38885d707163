// What the rested voltage of a 12 V lead-acid block (six cells) says about its charge.
//
// Rested: nothing charging or loading it for at least 6 h, better 24 h. A voltage above 12.9 V is charging or carries
// surface charge and has no answer. Battery temperature -40..50 degC (the sources cover -30..45 degC).
#pragma once

#include <cstdint>
#include <span>

#include "rules/physics/outcome.h"
#include "rules/quantity/strong.h"

namespace overwinter {

enum class LeadAcid : std::uint8_t {
  flooded,          // antimony grids: deep cycle
  flooded_calcium,  // calcium grids: maintenance-free
  agm,
  gel,
};

inline constexpr Voltage highest_rested_voltage{12.9};
// 1.75 V a cell, the usual end-of-discharge voltage of BCI and IEC 60896 tables (from memory): rested below it a block
// is empty, or has a dead cell, at any temperature; what temperature does to it is below 0.1 V.
inline constexpr Voltage fully_discharged_voltage{10.5};

// Rested voltage reduced to 25 degC: V - 6 x 0.2 mV/K x (T - 25 degC).
// Source: thermodynamic dE/dT of the cell at specific gravity 1.2..1.3 (Harned and Hamer 1935; Linden; from memory).
// A much copied table corrects by 4.3 mV/K instead, 3.6 times the physics: it fits a hydrometer, not a voltmeter, and
// hides a discharged battery in winter; not used. 0..16 V. One sigma 0.01 V.
Outcome<Voltage> lead_acid_voltage_at_25_degC(Voltage voltage, Temperature temperature);

// One line of a maker's table: rested voltage of the block at 25 degC and its state of charge.
struct ChargeKnot {
  Voltage voltage;
  Share charge;
};

// State of charge, 0..1, linear between the knots of a table of voltages at 25 degC; full at and above the last knot,
// empty at and below the first. One sigma 0.10; more for old batteries, stratified acid, unknown types.
// Tables: flooded and flooded_calcium 12.65/12.45/12.24/12.06/11.89 V at 100/75/50/25/0 % (FL1265, the common trade
// table attributed to BCI); AGM 12.80/12.55/12.20/11.75/10.50 V (Concorde; an older table says 42 % at 12.20 V where
// this says 50 %: the maker's is taken); gel 12.85/12.65/12.35/12.00/11.80 V (common practice). Voltage 1..12.9 V.
Outcome<Share> lead_acid_state_of_charge(Voltage voltage, Temperature temperature, LeadAcid chemistry);

// The same by the maker's own table. Two to 32 knots, voltages (6..14 V) and charges (0..1) strictly ascending, else no
// value. A table that ends above 12.9 V raises the limit to its end.
Outcome<Share> lead_acid_state_of_charge(Voltage voltage, Temperature temperature, std::span<const ChargeKnot> table);

// The inverse at 25 degC: the rested voltage at a state of charge 0..1.
Outcome<Voltage> lead_acid_rested_voltage(Share charge, Temperature temperature, LeadAcid chemistry);

}  // namespace overwinter
