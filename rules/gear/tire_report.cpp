// What the tire's model answers: the verdict and the figures that follow from its trend.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "rules/gear/tire_model.h"
#include "rules/physics/in_quadrature.h"
#include "rules/physics/tire_age.h"
#include "rules/physics/tire_pressure.h"
#include "rules/quantity/code.h"

namespace overwinter {
namespace {

constexpr double two_years = 2 * 365.25 * 86400;
constexpr const char* no_rate_since_its_loss = "it lost its air suddenly, and how fast it goes on is not known";

void set(Surroundings& around, TireQuantity q, double value, double plus_minus = 0) {
  around.set(index_of(q), value, plus_minus);
}
void unset(Surroundings& around, TireQuantity q, const char* because) { around.unset(index_of(q), because); }

std::optional<GaugePressure> minimum_of(const Surroundings& around) {
  const auto minimum = around.parameter(index_of(TireParameter::minimum_pressure));
  return minimum ? std::optional(GaugePressure(*minimum)) : std::nullopt;
}

std::string pressure_text(const Surroundings& around, double pascals) {
  return print_value(pascals, Type::gauge(), Shown::tire_pressure, around.display_units(), around.zone(), around.now());
}

// At which a minimum is meant, as the site shows it.
std::string normal_temperature_text(const Surroundings& around) {
  return print_value(normal_temperature.celsius(), Type::temperature(), Shown::by_dimension, around.display_units(),
                     around.zone(), around.now());
}

const char* not_normalized(bool temperature_known) {
  return temperature_known ? "the pressure or temperature of the reading is outside what the gas law is trusted for"
                           : "the temperature at the reading is not known";
}

std::string too_low(const Surroundings& around, double as_read, std::optional<double> normalized) {
  if (GaugePressure(as_read) < nearly_flat) return "nearly flat";
  const double minimum = minimum_of(around).value_or(GaugePressure(0)).value;
  if (!normalized) return pressure_text(around, minimum - as_read) + " below the minimum, more than cold explains";
  return fmt::format("{} below the minimum at {}", pressure_text(around, minimum - *normalized),
                     normal_temperature_text(around));
}

std::string above_maximum(const Surroundings& around, double maximum) {
  return fmt::format("above the sidewall's maximum of {}; let air out, standing aside, never in front of the sidewall",
                     pressure_text(around, maximum));
}

}  // namespace

TireVerdict TireModel::verdict(const Surroundings& around) const {
  if (!last_) {
    if (!filled_by_act_) return TireVerdict::unknown;
    const auto minimum = minimum_of(around);  // the person who filled it gauged it
    return minimum && GaugePressure(fill_.pressure) < *minimum ? TireVerdict::cold : TireVerdict::fine;
  }
  if (!last_->by_hand) return verdict_by_sensor(around);
  const TireVerdict found = verdict_by_hand(around, *last_);
  const bool low_too = found == TireVerdict::low || found == TireVerdict::leaking;
  return lost() && low_too ? TireVerdict::sudden_loss : found;  // its sensor saw how it came, and is silent now
}

TireVerdict TireModel::verdict_by_sensor(const Surroundings& around) const {
  TireState state;
  state.pressure = GaugePressure(last_->pressure);
  if (last_->normalized) state.normalized = GaugePressure(*last_->normalized);
  state.minimum = minimum_of(around);
  state.fill_told = fill_.known;
  state.noise = PressureDifference(last_->noise);
  if (last_->residual) {
    // What lies within the errors of both sides is no deviation.
    const double both = in_quadrature(last_->plus_minus, last_->own_plus_minus);
    state.residual = PressureDifference(std::abs(*last_->residual) > both ? *last_->residual : 0.0);
  }
  if (line_ && !line_by_hand_) state.trend = trend();
  state.leaks = leaks_;
  state.jump = PressureDifference(jump_);
  state.jump_confirmed = lost();
  if (lost()) state.noise_at_jump = PressureDifference(noise_at_loss_);
  return tire_verdict(state);
}

// The readings up to this one that fell without a break, oldest first. Of readings of one local day the last one
// counts: people gauge twice to be sure. last.residual is known.
std::vector<HandReading> TireModel::falling_by_hand(const Surroundings& around, const Judged& last) const {
  const auto as_reading = [](const Judged& j) {
    return HandReading{to_days(j.at), PressureDifference(*j.residual), PressureDifference(j.plus_minus), j.as_read()};
  };
  std::vector<HandReading> falling{as_reading(last)};  // newest first
  std::int32_t day = local_day(last.at, around.zone());
  for (auto it = hand_.rbegin(); it != hand_.rend(); ++it) {
    if (it->at >= last.at || !it->residual) continue;
    const std::int32_t its_day = local_day(it->at, around.zone());
    if (its_day == day) continue;
    if (*it->residual <= falling.back().residual.value) break;
    falling.push_back(as_reading(*it));
    day = its_day;
  }
  std::reverse(falling.begin(), falling.end());
  return falling;
}

TireVerdict TireModel::verdict_by_hand(const Surroundings& around, const Judged& last) const {
  const auto pressure = GaugePressure(last.pressure);
  const auto minimum = minimum_of(around);
  if (!last.residual) {
    const auto normal = last.normalized ? std::optional(GaugePressure(*last.normalized)) : std::nullopt;
    return tire_verdict_by_minimum(pressure, normal, minimum, current_fill(around).known);
  }
  return tire_verdict_by_hand(falling_by_hand(around, last), pressure, minimum);
}

const char* TireModel::no_reading_since_fill(const Surroundings& around) const {
  return fill_.lies_ahead_of(around.now()) ? fill_lies_ahead : "it was not read since the fill";
}

// Beside what a person is to set, which is a true gauge's, stands no sealed sensor's number.
void TireModel::publish_gauge_pressure(Surroundings& around, bool read) const {
  constexpr auto quantity = TireQuantity::gauge_pressure;
  if (!read) return unset(around, quantity, "there is no fresh reading of the pressure");
  if (!last_) return unset(around, quantity, no_reading_since_fill(around));
  const auto reference = last_->by_hand ? std::nullopt : around.sealed_reference(index_of(TireQuantity::pressure));
  if (!reference) return set(around, quantity, last_->pressure, last_->own_plus_minus);
  const Sample station = around.station_pressure_at(last_->at);
  const auto by_gauge = true_gauge(GaugePressure(last_->pressure), *reference, AbsolutePressure(station.value));
  set(around, quantity, by_gauge.value, in_quadrature(last_->own_plus_minus, station.plus_minus));
}

void TireModel::publish(Surroundings& around, bool read, const std::optional<TireAir>& air) const {
  constexpr auto assumed = TireQuantity::assumed_temperature;
  if (air) {
    set(around, assumed, air->celsius, 2 * air->sigma);
  } else {
    unset(around, assumed, "the temperature of the tire, or of its place, is not known");
  }
  publish_verdict(around, read);
  publish_gauge_pressure(around, read);
  publish_leak(around);
  publish_pressure_to_set(around, air);
  publish_times(around);
}

void TireModel::publish_verdict(Surroundings& around, bool read) const {
  if (!read && !filled_by_act_) {
    unset(around, TireQuantity::verdict, "there is no fresh reading of the pressure");
    unset(around, TireQuantity::normalized_pressure, "there is no fresh reading of the pressure");
    unset(around, TireQuantity::temperature_at_reading, "there is no fresh reading of the pressure");
    return;
  }
  const TireVerdict found = verdict(around);
  if (found == TireVerdict::unknown) {
    unset(around, TireQuantity::verdict, unknown_because(around));
  } else {
    set(around, TireQuantity::verdict, static_cast<double>(found));
  }
  if (last_ && last_->normalized) {
    set(around, TireQuantity::normalized_pressure, *last_->normalized,
        in_quadrature(2 * last_->noise, last_->own_plus_minus));
  } else {
    unset(around, TireQuantity::normalized_pressure,
          last_ ? not_normalized(last_->celsius.has_value()) : no_reading_since_fill(around));
  }
  if (last_ && last_->celsius) {
    set(around, TireQuantity::temperature_at_reading, *last_->celsius);  // its error is in that of pressure.expected
  } else {
    unset(around, TireQuantity::temperature_at_reading, last_ ? not_normalized(false) : no_reading_since_fill(around));
  }
}

const char* TireModel::unknown_because(const Surroundings& around) const {
  if (!last_) return no_reading_since_fill(around);
  const Expectation expected = expectation(around, last_->by_hand, last_->at).answer;
  if (fill_.known && !expected.known()) return expected.unknown_because;
  if (!last_->normalized) return not_normalized(last_->celsius.has_value());
  return "neither what it should read, nor a minimum, nor a trend is known yet";
}

double TireModel::loss_per_second(const Surroundings& around) const {
  const auto& line = told_line();
  const bool leaks = line && verdict(around) == TireVerdict::leaking;
  return seepage_per_second(line) + (leaks ? std::max(0.0, leak_per_second(*line)) : 0);
}

void TireModel::publish_leak(Surroundings& around) const {
  if (lost() && !line_by_hand_) {
    unset(around, TireQuantity::leak_rate, no_rate_since_its_loss);
  } else if (const auto& line = told_line()) {
    set(around, TireQuantity::leak_rate, leak_per_second(*line), told_plus_minus(*line));
  } else {
    unset(around, TireQuantity::leak_rate,
          changed_in_a_step()
              ? "by hand it was found changed in one step, and nobody measured a rate"
              : "a trend needs nine days of readings, or three hand readings over two weeks, since the last act");
  }
  const UntilMinimum left = until_minimum(around);
  if (left.seconds) {
    set(around, TireQuantity::time_until_minimum, *left.seconds);
  } else {
    unset(around, TireQuantity::time_until_minimum, left.because);
  }
}

TireModel::UntilMinimum TireModel::until_minimum(const Surroundings& around) const {
  const auto minimum = minimum_of(around);
  if (!minimum) return {{}, "no minimum_pressure is given"};
  if (!last_) return {{}, no_reading_since_fill(around)};
  if (!last_->normalized) return {{}, not_normalized(last_->celsius.has_value())};
  const double above = *last_->normalized - minimum->value;  // as the rule tire_under_minimum judges it
  if (above <= 0) return {0.0};
  if (lost() && !line_by_hand_) return {{}, no_rate_since_its_loss};
  const double loss = loss_per_second(around);
  const double passed = to_seconds(around.now() - last_->at);
  if (!(loss > 0) || above / loss > two_years) return {{}, "at its present loss not within two years"};
  return {std::max(0.0, above / loss - passed)};
}

std::string TireModel::detail_in_words(const Surroundings& around) const {
  const auto minimum = minimum_of(around);
  if (!minimum) return {};
  const std::string as_given = pressure_text(around, minimum->value) + " at " + normal_temperature_text(around);
  if (last_ && !last_->normalized) return fmt::format("Its minimum is {}.", as_given);
  const auto left = until_minimum(around).seconds;
  if (!left) return {};
  if (*left > 0) {
    const Instant then = around.now() + span_from_seconds(*left);
    return fmt::format("At this rate it is down to its minimum, {}, about {}.", as_given,
                       print_date(then, around.display_units(), around.zone(), around.now()));
  }
  std::string text = fmt::format("It is at its minimum of {}, or below.", as_given);
  if (const Expectation set = to_set(around, tire_air(around, around.now())); set.known()) {
    text += fmt::format(
        " To set at today's temperature: {}.",
        print_with_uncertainty(set.value, set.plus_minus, Type::gauge(), Shown::tire_pressure, around.display_units()));
  }
  return text;
}

Expectation TireModel::to_set(const Surroundings& around, const std::optional<TireAir>& air) const {
  if (lost()) return {0, 0, "it lost its air suddenly: do not inflate it, have it looked at"};
  const auto cold = around.parameter(index_of(TireParameter::cold_pressure));
  if (!cold) return {0, 0, "no cold_pressure is given"};
  if (last_ && last_->normalized.value_or(last_->pressure) < *cold / 2) {
    return {0, 0, "it stood flat or nearly so: do not inflate it, have it looked at"};
  }
  if (!air) return {0, 0, "the temperature of the tire, or of its place, is not known"};
  const Sample ambient = around.station_pressure_at(around.now());
  const Temperature temperature(air->celsius);
  const AbsolutePressure station(ambient.value);
  const auto found = pressure_to_set(GaugePressure(*cold), temperature, station);
  if (!found) return {0, 0, found.error().reason};
  const auto maximum = around.parameter(index_of(TireParameter::maximum_pressure));
  const double inside = absolute(*found, station).value;
  return {std::min(found->value, maximum.value_or(found->value)),
          in_quadrature(2 * air->sigma * inside / temperature.kelvin(), ambient.plus_minus)};
}

void TireModel::publish_pressure_to_set(Surroundings& around, const std::optional<TireAir>& air) const {
  const Expectation found = to_set(around, air);
  if (!found.known()) return unset(around, TireQuantity::pressure_to_set, found.unknown_because);
  set(around, TireQuantity::pressure_to_set, found.value, found.plus_minus);
}

void TireModel::publish_times(Surroundings& around) const {
  const auto code = around.parameter(index_of(TireParameter::date_code));
  if (!code) {
    unset(around, TireQuantity::age, "no date_code is given");
  } else {
    const auto today = std::chrono::sys_days(to_local(around.now(), around.zone()).date);
    if (const auto age = date_code_age(digits_of_code(*code), today)) {
      set(around, TireQuantity::age, age->value, 7 * 86400.0);
    } else {
      unset(around, TireQuantity::age, age.error().reason);
    }
  }
  const auto moved = around.parameter(index_of(TireParameter::moved_date));
  const Instant since = moved ? instant_from_seconds(*moved) : around.lay_up();
  if (!moved && since == Instant{}) {
    unset(around, TireQuantity::standing_time, "no date of moving it, and no lay-up, is given");
  } else if (since > around.now()) {
    unset(around, TireQuantity::standing_time, "the lay-up is still ahead");
  } else {
    set(around, TireQuantity::standing_time, to_seconds(around.now() - since));
  }
}

std::string TireModel::verdict_in_words(const Surroundings& around, std::uint8_t quantity, const Sample& reading,
                                        const Expectation& expected) const {
  if (quantity != index_of(TireQuantity::pressure)) return {};
  const Judged judged = judge(around, reading);
  // A sidewall's maximum is meant cold: what only the sun lifts above it is not to be let out.
  const auto maximum = around.parameter(index_of(TireParameter::maximum_pressure));
  if (maximum && std::min(reading.value, judged.normalized.value_or(reading.value)) > *maximum) {
    return above_maximum(around, *maximum);
  }
  const TireVerdict found = verdict_by_hand(around, judged);
  if (found == TireVerdict::unknown) {
    return expected.known() ? std::string{} : fmt::format("not judged: {}", expected.unknown_because);
  }
  const double below = expected.known() ? expected.value - reading.value : 0;
  const std::string how_much = expected.known()
                                   ? fmt::format("{} below what it should read", pressure_text(around, below))
                                   : too_low(around, reading.value, judged.normalized);
  switch (found) {
    case TireVerdict::leaking:
      return fmt::format("leaking: {}, and lower at each reading", how_much);
    case TireVerdict::low:
      return "low: " + how_much;
    case TireVerdict::cold:
      return "cold, not leaking";
    case TireVerdict::fine:
      if (-below >= std::max(3 * pascals_per_psi, expected.plus_minus)) {
        return fmt::format("high: {} above what it should read", pressure_text(around, -below));
      }
      return "fine";
    case TireVerdict::sudden_loss:
    case TireVerdict::unknown:
      break;
  }
  return {};
}

const char* TireModel::unjudged_because(const Surroundings& around) const {
  const Measured pressure = around.measured(index_of(TireQuantity::pressure));
  if (!pressure.known || verdict(around) != TireVerdict::unknown) return nullptr;
  return unknown_because(around);
}

std::string TireModel::caution_in_words(const Surroundings& around, std::uint8_t act) const {
  if (static_cast<TireAct>(act) != TireAct::filled) return {};
  const auto filled = around.parameter(index_of(TireParameter::filled_pressure));
  const auto maximum = around.parameter(index_of(TireParameter::maximum_pressure));
  std::string text;
  if (filled && maximum && *filled > *maximum) {
    text = fmt::format("{} is {}.", pressure_text(around, *filled), above_maximum(around, *maximum));
  }
  if (!tire_fill(around).celsius) {
    text += text.empty() ? "" : " ";
    text +=
        "The temperature of its place at that time is not known: tell it with the pressure, or what the tire should "
        "read stays unknown.";
  }
  return text;
}

}  // namespace overwinter
