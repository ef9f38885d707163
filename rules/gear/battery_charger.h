// Follows shore power and the charger of a battery over time. Voltages are those of a block of six cells.
#pragma once

#include <cstdint>
#include <optional>

#include "rules/gear/battery_hours.h"
#include "rules/physics/charger_verdict.h"
#include "rules/quantity/time.h"

namespace overwinter {

// While it charges, with power on: some chargers float at 13.2 V, and a meter has noise.
inline constexpr double still_charging_voltage = 13.1;

// What is seen at one instant; left out: not known.
struct ChargerSight {
  Instant now{};
  std::optional<double> voltage;  // V, median of ten minutes
  std::optional<double> celsius;  // of the battery
  std::optional<double> current;  // A, positive charges
  double resting_current = 0.5;   // A; more than it, going in, is charging
  double sleeps_until = 0;        // V
};

class ChargerTrack {
 public:
  // Shore power as last reported.
  void power(bool on, Instant at);
  void power_unknown() { power_.reset(); }
  // A rested voltage: what charging is measured against.
  void rested(double voltage);
  void see(const ChargerSight& sight, const VoltageHours& hours);

  ChargerVerdict verdict() const { return verdict_; }
  bool charging() const { return charging_; }
  bool power_on() const { return power_.value_or(false); }
  // Charging, or shore power, at some time in the span before `at`, as far as is known.
  bool charged_within(Span span, Instant at) const;
  // The end (so far) of the last charging seen; the beginning of time: none was.
  Instant charged_until() const { return charging_until_.value_or(Instant{}); }
  // The last charging seen (so far) took 12 h or more, whatever showed it, and began after that instant.
  bool charged_long_since(Instant at) const;
  bool powered_within(Span span, Instant at) const;
  // The end (so far) of the last charge of 12 h or more: the battery was full then (common practice, no source).
  std::optional<Instant> full_at() const { return full_at_; }

  template <class A>
  void archive(A& a) {
    a(power_, power_since_, power_ended_, rested_, rested_under_power_, idle_since_, verdict_, charging_, failed_,
      rose_, charging_since_, charging_until_, full_at_);
  }

 private:
  void ask_hours(const VoltageHours& hours, Instant now, ChargerWatch& watch);
  void keep_failure(const ChargerWatch& watch);

  std::optional<bool> power_;
  Instant power_since_{};  // of the present state
  std::optional<Instant> power_ended_;
  std::optional<double> rested_;  // before the power came; else the first seen under power
  bool rested_under_power_ = false;
  std::optional<Instant> idle_since_;
  ChargerVerdict verdict_ = ChargerVerdict::unknown;
  bool failed_ = false;          // since it was found so, until something charges
  std::optional<Instant> rose_;  // when the daily median last was above that of the day before
  bool charging_ = false;
  Instant charging_since_{};
  std::optional<Instant> charging_until_;
  std::optional<Instant> full_at_;
};

}  // namespace overwinter
