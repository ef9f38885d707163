#include "rules/gear/battery_charge.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "rules/gear/place.h"
#include "rules/physics/in_quadrature.h"
#include "rules/physics/knots.h"
#include "rules/physics/lead_acid_decline.h"

namespace overwinter {
namespace {

constexpr Span acid_lag = 6 * one_hour;
constexpr double usual_celsius = 10;  // where no temperature is known

}  // namespace

double self_discharge_rate(std::optional<double> celsius, LeadAcid chemistry) {
  const double kept = std::clamp(celsius.value_or(usual_celsius), -40.0, 50.0);
  const auto rate = lead_acid_self_discharge(Temperature(kept), chemistry);
  return rate ? rate->value : 0;
}

double Battery::rested_at_25_degrees(double block_voltage, double celsius) const {
  const double highest =
      table.empty() ? highest_rested_voltage.value : std::max(highest_rested_voltage.value, table.back().voltage.value);
  return std::min(block_voltage - volt_per_kelvin * (celsius - 25), highest);
}

double Battery::resting_current() const { return capacity ? *capacity / 3600 / 100 : 0.5; }

std::optional<double> Battery::state_of_charge(double voltage_at_25) const {
  const Voltage voltage(voltage_at_25);
  const auto charge = table.empty() ? lead_acid_state_of_charge(voltage, Temperature(25), chemistry)
                                    : lead_acid_state_of_charge(voltage, Temperature(25), table);
  return charge ? std::optional(charge->value) : std::nullopt;
}

std::optional<double> Battery::rested_voltage(double charge) const {
  if (table.empty()) {
    const auto voltage = lead_acid_rested_voltage(Share(charge), Temperature(25), chemistry);
    return voltage ? std::optional(voltage->value) : std::nullopt;
  }
  if (table.size() < 2) return {};
  return interpolate(
      std::span(table), charge, [](const ChargeKnot& k) { return k.charge.value; },
      [](const ChargeKnot& k) { return k.voltage.value; });
}

Battery battery_of(const Surroundings& around) {
  const auto parameter = [&around](BatteryParameter p) { return around.parameter(index_of(p)); };
  Battery battery;
  battery.chemistry = static_cast<LeadAcid>(parameter(BatteryParameter::chemistry).value_or(0));
  battery.cells = parameter(BatteryParameter::cells).value_or(6);
  battery.capacity = parameter(BatteryParameter::capacity);
  battery.load = parameter(BatteryParameter::parasitic_load).value_or(0);
  for (const auto& [voltage, charge] : around.table_parameter(index_of(BatteryParameter::voltage_table))) {
    battery.table.push_back({Voltage(battery.to_block(voltage)), Share(charge)});
  }
  std::sort(battery.table.begin(), battery.table.end(),
            [](const ChargeKnot& a, const ChargeKnot& b) { return a.voltage < b.voltage; });
  return battery;
}

double charger_sleeps_until(const Surroundings& around, const Battery& battery, std::optional<double> celsius) {
  constexpr std::uint8_t told = index_of(BatteryParameter::charger_sleeps_until);
  if (!around.assumed(told)) return battery.to_block(around.parameter(told).value_or(usually_sleeps_until));
  return usually_sleeps_until - (celsius ? volt_per_kelvin * std::max(0.0, 25 - *celsius) : 0);
}

std::optional<AcidTemperature> acid_temperature(const Surroundings& around, Instant instant) {
  const Sample own = around.at(Surroundings::Whose::own, index_of(BatteryQuantity::temperature), instant);
  const auto taken = [](const Sample& sample, bool is_own) {
    return AcidTemperature{sample.value, is_own, std::max(acid_temperature_plus_minus, sample.plus_minus)};
  };
  if (own.known) return taken(own, true);
  constexpr std::uint8_t temperature = index_of(PlaceQuantity::temperature);
  Sample air = around.lagged_at(Surroundings::Whose::place, temperature, acid_lag, instant);
  if (!air.known) air = around.at(Surroundings::Whose::place, temperature, instant);
  if (!air.known) return {};
  return taken(air, false);
}

double charging_efficiency(LeadAcid chemistry) {
  return chemistry == LeadAcid::agm || chemistry == LeadAcid::gel ? 0.95 : 0.85;
}

double cranking_share(double celsius) {
  static constexpr std::array published{Knot{-30, 0.22}, Knot{-17.8, 0.40}, Knot{-1.1, 0.65}, Knot{26.7, 1.0}};
  return interpolate(published, celsius);
}

double charge_after(double charge, double rate, double load, double seconds) {
  const double kept = std::exp(-rate * seconds);
  const double drawn = rate > 0 ? load / rate * (1 - kept) : load * seconds;
  return std::max(0.0, charge * kept - drawn);
}

void Decline::pass_time(const Surroundings& around, const Battery& battery, std::optional<Instant> full) {
  const Instant now = around.now();
  if (!full || now < *full) return;
  if (!left_.started() || full_at_ != *full) {
    full_at_ = *full;
    left_.restart(full_at_, 1);
    rate_ = 0;
  }
  const Span passed = now - left_.last().at;
  if (passed < one_hour) return;
  const auto acid = acid_temperature(around, now);
  const double before = rate_;
  if (acid || before <= 0) {
    rate_ = self_discharge_rate(acid ? std::optional(acid->celsius) : std::nullopt, battery.chemistry);
  }
  const double mean = before > 0 ? (before + rate_) / 2 : rate_;
  left_.advance(now, charge_after(left_.last().value, mean, battery.load_per_second(), to_seconds(passed)));
}

Expectation rested_expectation(const Battery& battery, double charge, double celsius) {
  const auto voltage = battery.rested_voltage(charge);
  const auto above = battery.rested_voltage(std::min(1.0, charge + 0.1));
  const auto below = battery.rested_voltage(std::max(0.0, charge - 0.1));
  if (!voltage || !above || !below) return {0, 0, "the table of voltage and charge does not cover it"};
  const double step = std::min(1.0, charge + 0.1) - std::max(0.0, charge - 0.1);
  const double volt_per_charge = (*above - *below) / step;
  constexpr double of_the_table = 0.2;    // k = 2
  constexpr double of_the_decline = 1.1;  // k = 2: 2 ln 1.75
  const double block = *voltage + volt_per_kelvin * (celsius - 25);
  return {battery.from_block(block),
          battery.from_block(volt_per_charge * in_quadrature(of_the_table, of_the_decline * (1 - charge))), nullptr};
}

}  // namespace overwinter
