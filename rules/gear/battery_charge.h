// What a battery is by its parameters, and how its charge falls from the last full one while it stands.
#pragma once

#include <cmath>
#include <cstdint>
#include <optional>
#include <vector>

#include "rules/gear/model.h"
#include "rules/gear/trend.h"
#include "rules/physics/lead_acid_state.h"

namespace overwinter {

inline constexpr double volt_per_kelvin = 0.0012;  // of six cells

// In the order of lead_acid_battery_kind().quantities.
enum class BatteryQuantity : std::uint8_t {
  voltage,
  temperature,
  current,
  shore_power,
  specific_gravity,
  at_rest,
  state_of_charge,
  estimated_specific_gravity,
  electrolyte_freezing_point,
  freezing_margin,
  self_discharge_rate,
  standing_loss,
  time_until_recharge,
  charge_time,
  charging,
  charger_verdict,
  cranking_capacity,
  assumed_temperature,
};

// In the order of lead_acid_battery_kind().parameters.
enum class BatteryParameter : std::uint8_t {
  chemistry,
  capacity,
  cells,
  parasitic_load,
  charger_current,
  charger_sleeps_until,
  charged_date,
  recharge_below,
  voltage_table,
};

constexpr std::uint8_t index_of(BatteryQuantity q) { return static_cast<std::uint8_t>(q); }
constexpr std::uint8_t index_of(BatteryParameter p) { return static_cast<std::uint8_t>(p); }

// The battery as its parameters tell it.
struct Battery {
  LeadAcid chemistry = LeadAcid::flooded;
  double cells = 6;
  std::optional<double> capacity;  // C
  double load = 0;                 // A
  std::vector<ChargeKnot> table;   // the maker's; empty: by chemistry

  // To a microvolt: what a meter shows in decimals is compared with limits in decimals, and 13.2 V of six cells, or 8.8
  // V of four, are no less than 13.2 V.
  double to_block(double voltage) const { return std::round(1e6 * voltage * 6 / cells) / 1e6; }
  double from_block(double voltage) const { return voltage * (cells / 6); }
  double load_per_second() const { return capacity ? load / *capacity : 0; }  // share of the capacity, 1/s
  double resting_current() const;  // A: C/100 per hour; half an ampere where the capacity is not known
  // A rested voltage of six cells, brought to 25 degC. In the cold it may come to more than the battery rests at, by
  // the maker's table or by its chemistry: it is full.
  double rested_at_25_degrees(double block_voltage, double celsius) const;
  // Of a block of six at 25 degC.
  std::optional<double> state_of_charge(double voltage_at_25) const;
  std::optional<double> rested_voltage(double charge) const;
};
Battery battery_of(const Surroundings& around);

// Of a block of six: above it a charger may rest. As the site tells it; else what is usual, a rested voltage at 25
// degC, lowered in the cold, where a full battery reads less.
inline constexpr double usually_sleeps_until = 12.6;  // V; common practice, no source
double charger_sleeps_until(const Surroundings& around, const Battery& battery, std::optional<double> celsius);

// The acid's temperature: by its own sensor, else its place's behind a lag of 6 h (that of a battery in a room,
// estimate 6..24 h).
inline constexpr double acid_temperature_plus_minus = 4;  // K, k = 2; that of its thermometer where it is more
struct AcidTemperature {
  double celsius = 0;
  bool own = false;
  double plus_minus = acid_temperature_plus_minus;  // K, k = 2
};
std::optional<AcidTemperature> acid_temperature(const Surroundings& around, Instant instant);

// The charge left since the last full one: self-discharge of what is left, and the load.
class Decline {
 public:
  // full: when it was full; a newer one begins anew.
  void pass_time(const Surroundings& around, const Battery& battery, std::optional<Instant> full);
  bool started() const { return left_.started(); }
  Instant full_at() const { return full_at_; }
  double at(Instant instant) const { return left_.at(instant); }  // share, 0..1

  template <class A>
  void archive(A& a) {
    a(full_at_, left_, rate_);
  }

 private:
  Instant full_at_{};
  RunningSum left_;
  double rate_ = 0;  // 1/s, self-discharge at the last step
};

// Self-discharge of what is left, 1/s; in the usual 10 degC where no temperature is known.
double self_discharge_rate(std::optional<double> celsius, LeadAcid chemistry);
double charging_efficiency(LeadAcid chemistry);  // 0..1, of the charge that goes in
// What a cold battery gives to a starter, of what it gives at 27 degC. Source: a US Army lesson on batteries, 65 % at
// 30 degF and 40 % at 0 degF; a straight line between, nothing said below -30 degC.
double cranking_share(double celsius);

// charge after `seconds` of self-discharge at `rate` (1/s) and a load of `load` (share per second).
double charge_after(double charge, double rate, double load, double seconds);

// Rested voltage for a charge, in terminals' volts, and its uncertainty, k = 2: the tables of voltage are good to 10 %
// of charge, the rate of self-discharge to a factor of 1.75 (one sigma each), temperature counts little.
Expectation rested_expectation(const Battery& battery, double charge, double celsius);

}  // namespace overwinter
