#include "rules/physics/lead_acid_decline.h"

#include <cmath>

#include "rules/physics/within.h"

namespace overwinter {
namespace {

double loss_in_30_days_at_25_degC(LeadAcid chemistry) {
  switch (chemistry) {
    case LeadAcid::flooded:
      return 0.10;
    case LeadAcid::flooded_calcium:
      return 0.04;
    case LeadAcid::agm:
    case LeadAcid::gel:
      return 0.02;
  }
  return 0.10;
}

}  // namespace

Outcome<RatePerSecond> lead_acid_self_discharge(Temperature temperature, LeadAcid chemistry) {
  if (!within(temperature, Temperature(-40), Temperature(50))) {
    return no_value("the temperature of the battery is outside -40..50 degC");
  }
  const double at_25 = -std::log1p(-loss_in_30_days_at_25_degC(chemistry)) / (30 * 86400.0);
  return RatePerSecond(at_25 * std::exp2((temperature.celsius() - 25) / 10));
}

Outcome<Seconds> lead_acid_time(Temperature temperature, LeadAcid chemistry, Charge capacity, Current load, Share from,
                                Share to) {
  if (!within(capacity, Charge(360), Charge(3.6e7))) return no_value("the capacity is outside 0.1..10000 Ah");
  if (!within(load, Current(0), Current(100))) return no_value("the load is outside 0..100 A");
  return lead_acid_time_by_share(temperature, chemistry, RatePerSecond(load.value / capacity.value), from, to);
}

Outcome<Seconds> lead_acid_time_by_share(Temperature temperature, LeadAcid chemistry, RatePerSecond drawn, Share from,
                                         Share to) {
  if (!(drawn.value >= 0)) return no_value("the load is below zero");
  if (!within(from, Share(0), Share(1)) || !within(to, Share(0), Share(1))) {
    return no_value("the state of charge is outside 0..100 %");
  }
  if (from < to) return no_value("the charge is already below the one to wait for");
  const auto rate = lead_acid_self_discharge(temperature, chemistry);
  if (!rate) return tl::unexpected(rate.error());
  if (from == to) return Seconds(0);
  const double k = rate->value;
  const double beside = drawn.value / k;
  if (!(to.value + beside > 1e-9)) return no_value("self-discharge alone never empties a battery altogether");
  return Seconds(std::log1p((from.value - to.value) / (to.value + beside)) / k);
}

Outcome<double> lead_acid_capacity_factor(Temperature temperature) {
  if (!within(temperature, Temperature(-25), Temperature(40))) {
    return no_value("the temperature of the battery is outside -25..40 degC, where its capacity is known");
  }
  return 1 + 0.006 * (temperature.celsius() - 25);
}

}  // namespace overwinter
