#include "rules/physics/lead_acid_state.h"

#include <algorithm>
#include <array>
#include <cstddef>

#include "rules/physics/knots.h"
#include "rules/physics/within.h"

namespace overwinter {
namespace {

constexpr Temperature coldest_acid{-40};
constexpr Temperature hottest_acid{50};
constexpr Temperature reference{25};
constexpr VoltagePerKelvin per_kelvin{6 * 0.0002};
constexpr std::size_t most_knots = 32;

constexpr const char* battery_temperature_range = "the temperature of the battery is outside -40..50 degC";

using Table = std::array<ChargeKnot, 5>;

constexpr Table table_of(double empty, double quarter, double half, double three_quarters, double full) {
  return {{{Voltage(empty), Share(0)},
           {Voltage(quarter), Share(0.25)},
           {Voltage(half), Share(0.5)},
           {Voltage(three_quarters), Share(0.75)},
           {Voltage(full), Share(1)}}};
}

constexpr Table fl1265 = table_of(11.89, 12.06, 12.24, 12.45, 12.65);
constexpr Table agm = table_of(10.50, 11.75, 12.20, 12.55, 12.80);
constexpr Table gel = table_of(11.80, 12.00, 12.35, 12.65, 12.85);

std::span<const ChargeKnot> table_for(LeadAcid chemistry) {
  switch (chemistry) {
    case LeadAcid::flooded:
    case LeadAcid::flooded_calcium:
      return fl1265;
    case LeadAcid::agm:
      return agm;
    case LeadAcid::gel:
      return gel;
  }
  return fl1265;
}

bool well_formed(std::span<const ChargeKnot> table) {
  if (table.size() < 2 || table.size() > most_knots) return false;
  const bool in_range = std::all_of(table.begin(), table.end(), [](const ChargeKnot& k) {
    return within(k.voltage, Voltage(6), Voltage(14)) && within(k.charge, Share(0), Share(1));
  });
  const auto not_ascending = [](const ChargeKnot& a, const ChargeKnot& b) {
    return !(a.voltage < b.voltage) || !(a.charge < b.charge);
  };
  return in_range && std::adjacent_find(table.begin(), table.end(), not_ascending) == table.end();
}

Voltage temperature_part(Temperature temperature) {
  return Voltage(per_kelvin.value * (temperature - reference).value);
}

double volts(const ChargeKnot& knot) { return knot.voltage.value; }
double share(const ChargeKnot& knot) { return knot.charge.value; }

// Of a well-formed table.
Outcome<Share> state_of_charge(Voltage voltage, Temperature temperature, std::span<const ChargeKnot> table) {
  if (!(voltage <= std::max(highest_rested_voltage, table.back().voltage))) {
    return no_value("the battery is not at rest: above 12.9 V it is charging or carries surface charge");
  }
  if (!(voltage >= Voltage(1))) return no_value("below 1 V the sensor is not connected to a 12 V block");
  const auto at_25 = lead_acid_voltage_at_25_degC(voltage, temperature);
  if (!at_25) return tl::unexpected(at_25.error());
  return Share(interpolate(table, at_25->value, volts, share));
}

}  // namespace

Outcome<Voltage> lead_acid_voltage_at_25_degC(Voltage voltage, Temperature temperature) {
  if (!within(voltage, Voltage(0), Voltage(16)))
    return no_value("the voltage is outside 0..16 V, that of a 12 V block");
  if (!within(temperature, coldest_acid, hottest_acid)) return no_value(battery_temperature_range);
  return voltage - temperature_part(temperature);
}

Outcome<Share> lead_acid_state_of_charge(Voltage voltage, Temperature temperature, LeadAcid chemistry) {
  return state_of_charge(voltage, temperature, table_for(chemistry));
}

Outcome<Share> lead_acid_state_of_charge(Voltage voltage, Temperature temperature, std::span<const ChargeKnot> table) {
  if (!well_formed(table)) {
    return no_value("a table of charge has 2..32 lines of ascending voltage (6..14 V) and charge (0..100 %)");
  }
  return state_of_charge(voltage, temperature, table);
}

Outcome<Voltage> lead_acid_rested_voltage(Share charge, Temperature temperature, LeadAcid chemistry) {
  if (!within(charge, Share(0), Share(1))) return no_value("the state of charge is outside 0..100 %");
  if (!within(temperature, coldest_acid, hottest_acid)) return no_value(battery_temperature_range);
  return Voltage(interpolate(table_for(chemistry), charge.value, share, volts)) + temperature_part(temperature);
}

}  // namespace overwinter
