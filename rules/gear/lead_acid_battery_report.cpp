// What the battery's model answers.
#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <vector>

#include "rules/gear/lead_acid_battery_model.h"
#include "rules/gear/lead_acid_battery_words.h"
#include "rules/physics/electrolyte.h"
#include "rules/physics/in_quadrature.h"
#include "rules/physics/lead_acid_decline.h"
#include "rules/physics/lead_acid_recharge.h"

namespace overwinter {
namespace {

constexpr double table_plus_minus = 0.2;    // of the charge, k = 2
constexpr double of_the_charge_time = 0.6;  // k = 2

void set(Surroundings& around, BatteryQuantity q, double value, double plus_minus = 0) {
  around.set(index_of(q), value, plus_minus);
}
void unset(Surroundings& around, BatteryQuantity q, const char* because) { around.unset(index_of(q), because); }

}  // namespace

double LeadAcidBatteryModel::held_plus_minus(const Battery& battery) const {
  // Beyond what any rested battery reads it is full, or empty.
  const double above = battery.state_of_charge(held_->voltage + held_->own_plus_minus).value_or(1);
  const double below = battery.state_of_charge(held_->voltage - held_->own_plus_minus).value_or(0);
  return in_quadrature(table_plus_minus, (above - below) / 2);
}

void LeadAcidBatteryModel::publish(Surroundings& around, const Battery& battery,
                                   const std::optional<AcidTemperature>& acid, const std::optional<Gravity>& strength,
                                   const std::optional<AcidJudged>& judged) const {
  const Measured voltage = around.measured(index_of(BatteryQuantity::voltage));
  if (!voltage.known) {
    unset(around, BatteryQuantity::at_rest, "there is no fresh reading of the voltage");
  } else if (voltage.by_hand) {
    set(around, BatteryQuantity::at_rest, not_rested_because(battery, voltage) == nullptr ? 1 : 0);
  } else if (at_rest_) {
    set(around, BatteryQuantity::at_rest, *at_rest_ ? 1 : 0);
  } else {
    unset(around, BatteryQuantity::at_rest, "it takes six hours of readings, or two that lie six hours apart");
  }
  publish_charge(around, battery, acid);
  publish_acid(around, battery, strength, judged);
  publish_losses(around, battery, acid);
  publish_charger(around, battery);
}

LeadAcidBatteryModel::ChargeTime LeadAcidBatteryModel::time_to_charge(const Surroundings& around,
                                                                      const Battery& battery, double charge) {
  const auto current = around.parameter(index_of(BatteryParameter::charger_current));
  if (!battery.capacity || !current) return {{}, "capacity or charger: {current} is not given"};
  const auto time = charge_time(Charge(*battery.capacity), Share(charge), Share(1), Current(*current),
                                Current(battery.load), Share(charging_efficiency(battery.chemistry)));
  if (!time) return {{}, time.error().reason};
  return {Seconds(time->value), nullptr};
}

std::string LeadAcidBatteryModel::detail_in_words(const Surroundings& around) const {
  const Battery battery = battery_of(around);
  const auto charge = charge_now(around, battery);
  if (!charge) return {};
  const BatteryPrinter print{{around}};
  std::vector<std::string> sentences;
  const Measured until_recharge = around.measured(index_of(BatteryQuantity::time_until_recharge));
  if (until_recharge.known && until_recharge.value > 0) {
    const double limit = around.parameter(index_of(BatteryParameter::recharge_below)).value_or(0.75);
    sentences.push_back(fmt::format("Down to {} about {}.", print.percent(limit),
                                    print.date(around.now() + span_from_seconds(until_recharge.value))));
  }
  if (!counts(around) && held_->by_hydrometer()) {
    sentences.push_back(fmt::format("By a hydrometer, {:.3f}, on {}.", held_->gravity, print.date(held_->at)));
  } else if (!counts(around) && !held_as_told(around)) {  // what it reads now may be a charger's
    sentences.push_back(fmt::format("It read {} at rest on {}, corrected to {}.",
                                    print.show(battery.from_block(held_->voltage), Type::number(dimension::voltage)),
                                    print.date(held_->at), print.temperature(25)));
  }
  if (const auto time = time_to_charge(around, battery, *charge).time) {
    sentences.push_back(fmt::format(
        "Charging takes {}.", print_with_uncertainty(time->value, of_the_charge_time * time->value, Type::duration(),
                                                     Shown::by_dimension, around.display_units())));
  }
  return fmt::format("{}", fmt::join(sentences, " "));
}

void LeadAcidBatteryModel::publish_charge(Surroundings& around, const Battery& battery,
                                          const std::optional<AcidTemperature>& acid) const {
  const auto charge = charge_now(around, battery);
  if (!charge) {
    for (const auto q :
         {BatteryQuantity::state_of_charge, BatteryQuantity::charge_time, BatteryQuantity::cranking_capacity}) {
      unset(around, q, no_charge_because(around));
    }
    return;
  }
  const double plus_minus = charge_plus_minus(around, battery);
  set(around, BatteryQuantity::state_of_charge, *charge, plus_minus);

  if (const ChargeTime charging = time_to_charge(around, battery, *charge); charging.time) {
    set(around, BatteryQuantity::charge_time, charging.time->value, of_the_charge_time * charging.time->value);
  } else {
    unset(around, BatteryQuantity::charge_time, charging.because);
  }

  if (!acid) return unset(around, BatteryQuantity::cranking_capacity, no_battery_temperature);
  if (acid->celsius < -30)
    return unset(around, BatteryQuantity::cranking_capacity, "no source tells it below -30 degC");
  const double factor = cranking_share(acid->celsius);
  set(around, BatteryQuantity::cranking_capacity, *charge * factor, in_quadrature(plus_minus * factor, 0.2 * *charge));
}

void LeadAcidBatteryModel::publish_losses(Surroundings& around, const Battery& battery,
                                          const std::optional<AcidTemperature>& acid) const {
  if (!acid) {
    unset(around, BatteryQuantity::assumed_temperature, no_battery_temperature);
    unset(around, BatteryQuantity::self_discharge_rate, no_battery_temperature);
  } else {
    set(around, BatteryQuantity::assumed_temperature, acid->celsius, acid->plus_minus);
    if (const auto rate = lead_acid_self_discharge(Temperature(acid->celsius), battery.chemistry)) {
      set(around, BatteryQuantity::self_discharge_rate, rate->value, rate->value);
    } else {
      unset(around, BatteryQuantity::self_discharge_rate, rate.error().reason);
    }
  }
  if (line_) {
    set(around, BatteryQuantity::standing_loss, -line_->slope, 2 * line_->standard_error);
  } else {
    unset(around, BatteryQuantity::standing_loss,
          "a trend needs nine days of rest, or three hand readings over two weeks, since the last charge");
  }
  publish_time_until_recharge(around, battery, acid);
}

void LeadAcidBatteryModel::publish_charger(Surroundings& around, const Battery&) const {
  const bool seen = around.measured(index_of(BatteryQuantity::voltage)).known || current_now(around);
  if (seen) {
    set(around, BatteryQuantity::charging, charger_.charging() ? 1 : 0);
  } else {
    unset(around, BatteryQuantity::charging, "there is no fresh reading of the voltage or the current");
  }
  if (charger_.verdict() == ChargerVerdict::unknown) {
    unset(around, BatteryQuantity::charger_verdict,
          around.measured(index_of(BatteryQuantity::shore_power)).known
              ? "it needs two hours of a voltage sensor, and a rested voltage from before"
              : "whether there is shore power is not known");
  } else {
    set(around, BatteryQuantity::charger_verdict, static_cast<double>(charger_.verdict()));
  }
}

// What stands on its charger is cared for. By hand each reading is judged at its own time, and stays so until the next.
const char* LeadAcidBatteryModel::unjudged_because(const Surroundings& around) const {
  const Measured voltage = around.measured(index_of(BatteryQuantity::voltage));
  if (!voltage.known || charger_.charging()) return nullptr;
  const Battery battery = battery_of(around);
  if (voltage.by_hand) {
    if (held_ && held_->at >= voltage.at) return nullptr;
    const char* because = not_rested_because(battery, voltage);
    if (because == nullptr) return no_battery_temperature;
    return charge_now(around, battery) ? nullptr : because;
  }
  if (charge_now(around, battery)) return nullptr;
  return acid_temperature(around, around.now()) ? no_charge_because(around) : no_battery_temperature;
}

std::string LeadAcidBatteryModel::charge_in_words(const Surroundings& around, double charge) {
  const double limit = around.parameter(index_of(BatteryParameter::recharge_below)).value_or(0.75);
  return fmt::format("{}: about {:.0f} % charged", charge < limit ? "low" : "fine", 100 * charge);
}

std::string LeadAcidBatteryModel::verdict_in_words(const Surroundings& around, std::uint8_t quantity,
                                                   const Sample& reading, const Expectation& expected) const {
  const Battery battery = battery_of(around);
  if (quantity == index_of(BatteryQuantity::specific_gravity)) return hydrometer_in_words(around, battery, reading);
  if (quantity != index_of(BatteryQuantity::voltage)) return {};
  const auto not_judged = [&](const char* because) {
    return fmt::format("not judged: {}{}", because, caution(around, battery, reading));
  };
  if (const char* because = not_rested_because(battery, reading)) return not_judged(because);
  if (battery.to_block(reading.value) < fully_discharged_voltage.value) {
    return fmt::format(
        "dead: below {:.1f} V it is fully discharged at any temperature, or a cell has failed; its acid freezes early: "
        "do not charge it while it may be frozen",
        battery.from_block(fully_discharged_voltage.value));
  }
  const auto acid = acid_temperature(around, reading.at);
  if (!acid) return not_judged(no_battery_temperature);
  const double at_25 = battery.rested_at_25_degrees(battery.to_block(reading.value), acid->celsius);
  const auto charge = battery.state_of_charge(at_25);
  if (!charge) return {};
  std::string words = charge_in_words(around, *charge);
  if (expected.known() && reading.value < expected.value - expected.plus_minus) {
    words += fmt::format(", {:.2f} V below what it should read", expected.value - reading.value);
  }
  return words + caution(around, battery, reading);
}

}  // namespace overwinter
