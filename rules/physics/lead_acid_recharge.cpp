#include "rules/physics/lead_acid_recharge.h"

#include <algorithm>

#include "rules/physics/within.h"

namespace overwinter {

Outcome<Voltage> charge_voltage(Voltage voltage_at_25_degC, Temperature temperature, VoltagePerKelvin coefficient) {
  if (!within(voltage_at_25_degC, Voltage(12), Voltage(16))) {
    return no_value("the charge voltage at 25 degC is outside 12..16 V, that of a 12 V block");
  }
  if (!within(temperature, Temperature(-40), Temperature(50))) {
    return no_value("the temperature of the battery is outside -40..50 degC");
  }
  if (!within(coefficient, VoltagePerKelvin(-0.010), VoltagePerKelvin(0))) {
    return no_value("the coefficient per cell is outside -10..0 mV/K");
  }
  return voltage_at_25_degC + Voltage(6 * coefficient.value * (temperature.celsius() - 25));
}

Outcome<Seconds> charge_time(Charge capacity, Share from, Share to, Current current, Current load, Share efficiency) {
  if (!within(capacity, Charge(360), Charge(3.6e7))) return no_value("the capacity is outside 0.1..10000 Ah");
  if (!within(from, Share(0), Share(1)) || !within(to, Share(0), Share(1))) {
    return no_value("the state of charge is outside 0..100 %");
  }
  if (!within(current, Current(0), Current(1000)) || !within(load, Current(0), Current(1000))) {
    return no_value("the current of the charger or of the load is outside 0..1000 A");
  }
  if (!within(efficiency, Share(0.5), Share(1))) return no_value("the charging efficiency is outside 50..100 %");
  if (!(to > from)) return Seconds(0);

  const bool tapers = current.value * 3600 > 0.10 * capacity.value;
  const Share knee{0.8};
  const Share full_current_until = tapers ? std::clamp(knee, from, to) : to;
  const double bulk = (full_current_until - from).value;
  const double taper = (to - full_current_until).value;
  const Current net = current - load;
  const Current net_taper = 0.4 * current - load;
  constexpr Current milliampere{0.001};
  if ((bulk > 0 && net < milliampere) || (taper > 0 && net_taper < milliampere)) {
    return no_value("the load takes all that the charger gives: the battery never fills");
  }
  double seconds = 0;
  if (bulk > 0) seconds += capacity.value * bulk / efficiency.value / net.value;
  if (taper > 0) seconds += capacity.value * taper / efficiency.value / net_taper.value;
  return Seconds(seconds);
}

}  // namespace overwinter
