// When the battery's charge will be down to where it wants charging. A forecast outlives what it began with: without a
// new reading it goes on from the last one.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "rules/gear/lead_acid_battery_model.h"
#include "rules/gear/lead_acid_battery_words.h"
#include "rules/gear/place.h"
#include "rules/physics/in_quadrature.h"
#include "rules/physics/lead_acid_decline.h"
#include "rules/physics/lead_acid_state.h"

namespace overwinter {
namespace {

constexpr double of_the_rate = 0.6;  // of the time, k = 2
// How far the mean temperature of weeks may lie from one reading of before: estimate, k = 2.
constexpr double unseen_kelvin = 10;

Outcome<Seconds> time_at(double celsius, const Battery& battery, double charge, double limit) {
  const double within_table = std::clamp(celsius, -40.0, 50.0);
  return lead_acid_time_by_share(Temperature(within_table), battery.chemistry, RatePerSecond(battery.load_per_second()),
                                 Share(charge), Share(limit));
}

}  // namespace

LeadAcidBatteryModel::Loss LeadAcidBatteryModel::measured_loss(const Surroundings& around,
                                                               const Battery& battery) const {
  if (counts(around)) {
    const double rate = count_.mean_draw(battery) / *battery.capacity;
    return {rate, rate};
  }
  if (!line_) return {};
  return {-line_->slope, -line_->slope - 2 * line_->standard_error};
}

double LeadAcidBatteryModel::steady_loss(const Battery& battery, double charge,
                                         const std::optional<LikelyTemperature>& acid) {
  const auto rate = lead_acid_self_discharge(Temperature(acid ? acid->celsius : 10), battery.chemistry);
  return (rate ? rate->value * charge : 0) + battery.load_per_second();
}

std::optional<LeadAcidBatteryModel::LikelyTemperature> LeadAcidBatteryModel::likely_temperature(
    const Surroundings& around, const std::optional<AcidTemperature>& acid) const {
  const Instant now = around.now();
  if (acid) return LikelyTemperature{acid->celsius, acid->own, now, true};
  std::optional<LikelyTemperature> newest;
  const auto offer = [&newest](double celsius, bool own, Instant at) {
    if (!newest || at > newest->at) newest = LikelyTemperature{celsius, own, at, false};
  };
  if (last_acid_) offer(last_acid_->value, false, last_acid_->at);
  const Measured own = around.measured(index_of(BatteryQuantity::temperature));
  if (own.known) offer(own.value, true, own.at);
  const Sample air = around.present(Surroundings::Whose::place, index_of(PlaceQuantity::temperature));
  if (air.known) offer(air.value, false, air.at);
  return newest;
}

// What is held no longer is gone on from all the same, unless something was seen that may have charged it since.
std::optional<double> LeadAcidBatteryModel::charge_to_go_on_from(const Surroundings& around,
                                                                 const Battery& battery) const {
  if (const auto charge = charge_now(around, battery)) return charge;
  if (counts(around) || !held_) return {};
  const Instant now = around.now();
  const Span age = now - held_->at;
  if (charger_.charged_within(age, now) || charger_.powered_within(age, now)) return {};
  const Measured voltage = around.measured(index_of(BatteryQuantity::voltage));
  if (voltage.known && battery.to_block(voltage.value) > highest_rested_voltage.value) return {};
  return battery.state_of_charge(held_->voltage);
}

void LeadAcidBatteryModel::publish_time_until_recharge(Surroundings& around, const Battery& battery,
                                                       const std::optional<AcidTemperature>& acid_now) const {
  constexpr auto quantity = index_of(BatteryQuantity::time_until_recharge);
  const auto charge = charge_to_go_on_from(around, battery);
  if (!charge) return around.unset(quantity, no_charge_because(around));
  const double limit = around.parameter(index_of(BatteryParameter::recharge_below)).value_or(0.75);
  if (*charge <= limit) return around.set(quantity, 0);
  const double passed = to_seconds(around.now() - charge_known_at(around));
  const Loss measured = measured_loss(around, battery);
  const auto acid = likely_temperature(around, acid_now);
  if (measured.sure > steady_loss(battery, *charge, acid)) {
    return around.set(quantity, std::max(0.0, (*charge - limit) / measured.rate - passed));
  }
  if (battery.load > 0 && !battery.capacity) return around.unset(quantity, "parasitic_load needs capacity");
  if (!acid) return around.unset(quantity, no_battery_temperature);
  const auto time = time_at(acid->celsius, battery, *charge, limit);
  if (!time) return around.unset(quantity, time.error().reason);
  double of_temperature = 0;
  if (!acid->of_now) {
    const auto warm = time_at(acid->celsius + unseen_kelvin, battery, *charge, limit);
    const auto cold = time_at(acid->celsius - unseen_kelvin, battery, *charge, limit);
    if (warm && cold) of_temperature = (cold->value - warm->value) / 2;
  }
  around.set(quantity, std::max(0.0, time->value - passed), in_quadrature(of_the_rate * time->value, of_temperature));
}

void LeadAcidBatteryModel::explain_time_until_recharge(const Surroundings& around, const Battery& battery,
                                                       Explanation& out) const {
  const BatteryPrinter print{{around}};
  const auto charge = charge_to_go_on_from(around, battery);
  if (!charge) return;
  const double limit = around.parameter(index_of(BatteryParameter::recharge_below)).value_or(0.75);
  if (*charge <= limit) {
    out.calculation.push_back(
        fmt::format("it is to be recharged at {} (recharge_below) and is {} charged: no time is left",
                    print.percent(limit), print.percent(*charge)));
    return;
  }
  constexpr double day = 86400;
  const double passed = to_seconds(around.now() - charge_known_at(around)) / day;
  const Loss measured = measured_loss(around, battery);
  const auto acid = likely_temperature(around, acid_temperature(around, around.now()));
  if (measured.sure > steady_loss(battery, *charge, acid)) {
    out.calculation.push_back(fmt::format(
        "({:.1f} % - {:.0f} %) / {:.3f} %/d ({}) = {:.1f} d, less the {:.1f} d since the reading", 100 * *charge,
        100 * limit, 100 * measured.rate * day, counts(around) ? "counted, over a day at least" : "measured",
        (*charge - limit) / measured.rate / day, passed));
    return;
  }
  if (!acid || (battery.load > 0 && !battery.capacity)) return;
  const auto rate = lead_acid_self_discharge(Temperature(std::clamp(acid->celsius, -40.0, 50.0)), battery.chemistry);
  if (!rate) return;
  const double drawn = battery.load_per_second() / rate->value;
  const double time = std::log((*charge + drawn) / (limit + drawn)) / rate->value / day;
  out.calculation.push_back(drawn > 0
                                ? fmt::format("load / self-discharge at {}: {:.4f} %/d / {:.4f} %/d = {:.4f}",
                                              print.temperature(acid->celsius), 100 * battery.load_per_second() * day,
                                              100 * rate->value * day, drawn)
                                : fmt::format("self-discharge at {}: {:.4f} %/d of what is left",
                                              print.temperature(acid->celsius), 100 * rate->value * day));
  out.calculation.push_back(
      fmt::format("ln(({:.3f} + {:.4f}) / ({:.3f} + {:.4f})) / {:.6f} per day = {:.1f} d, less the {:.1f} d since the "
                  "reading",
                  *charge, drawn, limit, drawn, rate->value * day, time, passed));
  if (acid->of_now) {
    out.assumed.push_back(fmt::format("temperature of the acid: {}", whose(acid->own)));
  } else {
    out.assumed.push_back(fmt::format("temperature of the acid: {} as on {}, the last one known, ± {}",
                                      print.temperature(acid->celsius), print.date(acid->at),
                                      print.difference(unseen_kelvin)));
  }
}

}  // namespace overwinter
