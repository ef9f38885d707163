// Whether the battery's acid may be frozen: how strong it is, and how cold it was.
#include <fmt/format.h>

#include <algorithm>

#include "rules/gear/lead_acid_battery_model.h"
#include "rules/gear/lead_acid_battery_words.h"
#include "rules/physics/electrolyte.h"
#include "rules/physics/in_quadrature.h"

namespace overwinter {
namespace {

constexpr Span gravity_stands = 7 * one_day;
constexpr Span gravity_stands_at_work = one_day;  // while it is charged and loaded
// K, k = 2: twice 3.5 K and twice 2 K; what the sensor is unsure of where that is more. So the gravities below.
constexpr double freezing_by_voltage = 7;
constexpr double freezing_by_hydrometer = 4;
constexpr double gravity_by_voltage = 0.02;
constexpr double gravity_by_hydrometer = 0.01;
// As the standard rule raises and clears: below the first it may be frozen, above the second it is safe again.
constexpr double dangerous_margin = 5;  // K
constexpr double safe_margin = 7;       // K
constexpr const char* may_be_frozen = "; its acid may be frozen: do not charge it";

}  // namespace

double LeadAcidBatteryModel::AcidJudged::plus_minus() const {
  return in_quadrature(point_plus_minus, coldest_plus_minus);
}

// A hydrometer newer than the rested voltage counts more; one from before the last full charge says nothing.
std::optional<LeadAcidBatteryModel::Gravity> LeadAcidBatteryModel::gravity(const Surroundings& around,
                                                                           const Battery& battery) const {
  const Measured read = around.measured(index_of(BatteryQuantity::specific_gravity));
  const auto voltage = rested_voltage_now(around, battery);
  const Span stands = counts(around) ? gravity_stands_at_work : gravity_stands;
  const bool newer = !voltage || counts(around) || read.at >= held_->at;
  const auto full = full_at(around);
  const bool stale = full && *full <= around.now() && read.at < *full;
  if (read.known && !stale && around.now() - read.at <= stands && newer)
    return Gravity{read.value, true, read.at, read.plus_minus};
  if (!voltage) return {};
  const bool by_hydrometer = held_ && held_->by_hydrometer() && !counts(around);
  const auto by_voltage =
      lead_acid_specific_gravity(std::min(Voltage(*voltage), highest_rested_voltage), Temperature(25));
  if (!by_voltage) return {};
  const Instant at = counts(around) ? count_.start().at : held_->at;
  const double of_meter = held_ && held_->at == at ? held_->own_plus_minus / 6 : 0;
  return Gravity{by_voltage->value, by_hydrometer, at, of_meter};
}

// The acid is what makes the voltage: read newer than a rested voltage, it tells the charge, at rest or not.
void LeadAcidBatteryModel::follow_hydrometer(const Surroundings& around) {
  const Measured read = around.measured(index_of(BatteryQuantity::specific_gravity));
  if (!read.known || !read.fresh) return;
  const auto full = full_at(around);
  if (full && *full <= around.now() && read.at < *full) return;
  if (held_ && read.at < held_->at) return;
  const Voltage voltage = std::min(lead_acid_voltage_of_acid(SpecificGravity(read.value)), highest_rested_voltage);
  held_ = Held{read.at, voltage.value, 6 * read.plus_minus, read.by_hand, read.value};
}

double LeadAcidBatteryModel::unsure_of_point(const Surroundings& around, const Battery& battery, const Gravity& acid,
                                             double freezing_point) const {
  const auto weaker = electrolyte_freezing_point(SpecificGravity(std::max(1.0, acid.value - acid.sensor_plus_minus)));
  const double of_sensor = weaker ? weaker->value - freezing_point : 0;
  if (acid.by_hydrometer) return std::max(freezing_by_hydrometer, of_sensor);
  return in_quadrature(std::max(freezing_by_voltage, of_sensor),
                       freezing_unsure_of_count(around, battery, freezing_point));
}

std::optional<double> LeadAcidBatteryModel::coldest(Instant since, const std::optional<AcidTemperature>& acid) const {
  std::optional<double> lowest;
  for (const TrendPoint& p : temperatures_) {
    if (p.at >= since) lowest = std::min(lowest.value_or(p.value), p.value);
  }
  if (acid) lowest = std::min(lowest.value_or(acid->celsius), acid->celsius);
  return lowest;
}

std::optional<LeadAcidBatteryModel::AcidJudged> LeadAcidBatteryModel::judged_acid(
    const Surroundings& around, const Battery& battery, const std::optional<Gravity>& strength,
    const std::optional<AcidTemperature>& acid) const {
  if (!strength) return {};
  const auto point = electrolyte_freezing_point(SpecificGravity(strength->value));
  if (!point) return {};
  const Instant now = around.now();
  // What is counted tells the acid of now, not that of a colder day before.
  const auto lowest = coldest(std::min(now - one_day, held_ && !counts(around) ? held_->at : now), acid);
  if (!lowest) return {};
  return AcidJudged{now,
                    strength->at,
                    point->value,
                    *lowest,
                    unsure_of_point(around, battery, *strength, point->value),
                    acid ? acid->plus_minus : acid_temperature_plus_minus};
}

// Not knowing thaws nothing: what was found in danger stays so until it is judged anew, or charged by the act, or was
// for a day so warm that no acid is frozen.
void LeadAcidBatteryModel::follow_danger(Instant now, const std::optional<AcidJudged>& judged,
                                         const std::optional<AcidTemperature>& acid) {
  if (!judged) {
    const bool is_warm = acid && coldest(now - one_day, acid).value_or(0) > safe_margin;
    if (is_warm) danger_.reset();
    return;
  }
  if (judged->margin() < dangerous_margin || (danger_ && judged->margin() <= safe_margin)) {
    danger_ = judged;
  } else {
    danger_.reset();
  }
}

void LeadAcidBatteryModel::publish_acid(Surroundings& around, const Battery& battery,
                                        const std::optional<Gravity>& strength,
                                        const std::optional<AcidJudged>& judged) const {
  constexpr auto estimate = index_of(BatteryQuantity::estimated_specific_gravity);
  constexpr auto freezing = index_of(BatteryQuantity::electrolyte_freezing_point);
  constexpr auto margin = index_of(BatteryQuantity::freezing_margin);
  if (strength) {
    const double of_model = strength->by_hydrometer ? gravity_by_hydrometer : gravity_by_voltage;
    around.set(estimate, strength->value, std::max(of_model, strength->sensor_plus_minus));
  } else {
    around.unset(estimate, no_charge_because(around));
  }
  if (const auto& told = judged ? judged : danger_) {
    around.set(freezing, told->freezing_point, told->point_plus_minus);
    around.set(margin, told->margin(), told->plus_minus());
    return;
  }
  if (!strength) {
    for (const auto q : {freezing, margin}) around.unset(q, no_charge_because(around));
    return;
  }
  const auto point = electrolyte_freezing_point(SpecificGravity(strength->value));
  if (!point) {
    for (const auto q : {freezing, margin}) around.unset(q, point.error().reason);
    return;
  }
  around.set(freezing, point->value, unsure_of_point(around, battery, *strength, point->value));
  around.unset(margin, no_battery_temperature);
}

std::string LeadAcidBatteryModel::caution(const Surroundings& around, const Battery& battery,
                                          const Sample& reading) const {
  const auto acid = acid_temperature(around, reading.at);
  if (!acid || not_rested_because(battery, reading) != nullptr) return danger_ ? may_be_frozen : "";
  const double at_25 = battery.rested_at_25_degrees(battery.to_block(reading.value), acid->celsius);
  const auto strength = lead_acid_specific_gravity(std::min(Voltage(at_25), highest_rested_voltage), Temperature(25));
  return strength ? caution_of(around, strength->value, reading.at) : "";
}

std::string LeadAcidBatteryModel::caution_of(const Surroundings& around, double specific_gravity, Instant at) const {
  const auto acid = acid_temperature(around, at);
  if (!acid) return danger_ ? may_be_frozen : "";
  const auto point = electrolyte_freezing_point(SpecificGravity(specific_gravity));
  const double lowest =
      std::min(acid->celsius, coldest(at - one_day, acid_temperature(around, around.now())).value_or(acid->celsius));
  const double safe_from = danger_ ? safe_margin : dangerous_margin;
  return point && lowest - point->value < safe_from ? may_be_frozen : "";
}

std::string LeadAcidBatteryModel::hydrometer_in_words(const Surroundings& around, const Battery& battery,
                                                      const Sample& reading) const {
  const auto full = full_at(around);
  if (full && reading.at < *full) return "not judged: it was charged since";
  const auto charge = battery.state_of_charge(lead_acid_voltage_of_acid(SpecificGravity(reading.value)).value);
  if (!charge) return {};
  return charge_in_words(around, *charge) + caution_of(around, reading.value, reading.at);
}

void LeadAcidBatteryModel::explain_acid(const Surroundings& around, const Battery& battery, Explanation& out) const {
  const BatteryPrinter print{{around}};
  const auto acid = gravity(around, battery);
  if (!acid) {
    out.missing.emplace_back("a rested voltage or a hydrometer reading of the last 7 days");
  } else if (acid->by_hydrometer) {
    out.calculation.push_back(fmt::format("hydrometer: {:.3f}", acid->value));
  } else {
    if (counts(around)) explain_charge(around, battery, out);
    out.calculation.push_back(
        fmt::format("{:.3f} V / 6 - 0.845 = {:.3f}", rested_voltage_now(around, battery).value_or(0), acid->value));
  }
  const auto judged = judged_acid(around, battery, acid, acid_temperature(around, around.now()));
  if (const auto& told = judged ? judged : danger_) {
    if (!judged) {
      out.calculation.push_back(fmt::format(
          "found in danger of freezing {} ago, and not judged since: that stands until it is judged anew, or charged",
          print.duration(to_seconds(around.now() - told->at))));
    }
    out.calculation.push_back(fmt::format("its acid freezes at {}; coldest {} {}: margin {}",
                                          print.temperature(told->freezing_point),
                                          counts(around) ? "of the last day" : "since the last rest",
                                          print.temperature(told->coldest), print.difference(told->margin())));
  } else if (acid) {
    const auto point = electrolyte_freezing_point(SpecificGravity(acid->value));
    if (point) {
      out.calculation.push_back(fmt::format("its acid freezes at {}", print.temperature(point->value)));
    }
  }
  if (acid && !judged) out.missing.emplace_back("temperature of the battery, or of its place");
}

}  // namespace overwinter
