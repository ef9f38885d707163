#include "rules/physics/tire_verdict.h"

#include <algorithm>
#include <cmath>

#include "rules/physics/tire_pressure.h"
#include "rules/physics/within.h"

namespace overwinter {
namespace {

constexpr std::size_t readings_for_a_leak = 14;

constexpr PressureDifference psi(double n) { return PressureDifference(n * pascals_per_psi); }

bool fell_suddenly(const TireState& tire) {
  return tire.jump && tire.jump_confirmed &&
         *tire.jump <= -std::max(psi(3), 5 * tire.noise_at_jump.value_or(tire.noise));
}

bool usable(const std::optional<TireTrend>& trend) { return trend && trend->count >= readings_for_a_leak; }

bool leaks(const TireState& tire) {
  if (tire.leaks) return *tire.leaks;
  return tire.trend && tire_leaks(*tire.trend, tire.seepage_per_week);
}

// What a tire at its minimum reads where it is as cold as a sensor may say, by the gas law.
GaugePressure at_the_coldest(GaugePressure minimum) {
  constexpr Temperature coldest{-60};  // tire_pressure is not trusted so far down
  const double inside = absolute(minimum, standard_atmosphere).value;
  return gauge(AbsolutePressure(inside * coldest.kelvin() / normal_temperature.kelvin()), standard_atmosphere);
}

bool below(std::optional<GaugePressure> pressure, std::optional<GaugePressure> minimum) {
  return pressure && minimum && *pressure < *minimum;
}

}  // namespace

Outcome<PressureDifference> tire_noise(PressureDifference sensor, PressureDifference resolution, GaugePressure pressure,
                                       AbsolutePressure station_pressure, Temperature temperature,
                                       TemperatureStep temperature_sigma) {
  constexpr PressureDifference most{1e6};
  if (!within(sensor, PressureDifference(0), most) || !within(resolution, PressureDifference(0), most) ||
      !within(temperature_sigma, TemperatureStep(0), TemperatureStep(100))) {
    return no_value("an error of the tire's readings is outside 0..1000 kPa or 0..100 K");
  }
  if (const auto normal = normalized_pressure(pressure, temperature, station_pressure); !normal) {
    return tl::unexpected(normal.error());
  }
  const double per_kelvin = absolute(pressure, station_pressure).value / temperature.kelvin();
  const double thermal = per_kelvin * temperature_sigma.value;
  return PressureDifference(
      std::sqrt(sensor.value * sensor.value + resolution.value * resolution.value / 12 + thermal * thermal));
}

bool tire_leaks(const TireTrend& trend, PressureDifference seepage_per_week) {
  return trend.count >= readings_for_a_leak &&
         trend.slope_per_week <= -(seepage_per_week + 3.1 * trend.standard_error_per_week) &&
         trend.slope_per_week <= -(seepage_per_week + psi(0.25));
}

TireVerdict tire_verdict_by_minimum(std::optional<GaugePressure> pressure, std::optional<GaugePressure> normalized,
                                    std::optional<GaugePressure> minimum, bool fill_told) {
  if (!pressure) return TireVerdict::unknown;
  if (*pressure < nearly_flat) return TireVerdict::low;
  if (!minimum) return TireVerdict::unknown;
  if (normalized) {
    if (*normalized < *minimum) return TireVerdict::low;
    return fill_told ? TireVerdict::unknown : TireVerdict::fine;
  }
  return *pressure < at_the_coldest(*minimum) ? TireVerdict::low : TireVerdict::unknown;
}

TireVerdict tire_verdict(const TireState& tire) {
  if (!tire.pressure) return TireVerdict::unknown;
  if (fell_suddenly(tire)) return TireVerdict::sudden_loss;
  if (leaks(tire)) return TireVerdict::leaking;
  if (!tire.residual) {
    const auto found = tire_verdict_by_minimum(tire.pressure, tire.normalized, tire.minimum, tire.fill_told);
    if (found != TireVerdict::unknown) return found;
    return tire.normalized && usable(tire.trend) ? TireVerdict::fine : TireVerdict::unknown;
  }
  if (*tire.residual <= -std::max(psi(2), 3 * tire.noise)) return TireVerdict::low;
  return below(tire.pressure, tire.minimum) ? TireVerdict::cold : TireVerdict::fine;
}

bool changed_steadily(std::span<const HandReading> readings) {
  if (readings.size() < 3) return true;
  const HandReading& first = readings.front();
  const PressureDifference change = readings.back().residual - first.residual;
  const double days = readings.back().day - first.day;
  const double most = std::max(psi(5).value, 0.4 * std::abs(change.value));
  return std::ranges::all_of(readings, [&](const HandReading& reading) {
    const double on_line = first.residual.value + change.value * (days > 0 ? (reading.day - first.day) / days : 0);
    return std::abs(reading.residual.value - on_line) <= most;
  });
}

namespace {

// A leak that was found stays one while the pressure falls on, however fast at last.
bool leaks_by_hand(std::span<const HandReading> readings) {
  if (readings.size() < 3) return false;
  const HandReading& first = readings.front();
  const HandReading& last = readings.back();
  const bool each_lower = std::ranges::adjacent_find(readings, [](const auto& a, const auto& b) {
                            return b.residual >= a.residual;
                          }) == readings.end();
  // A first reading in the sun is unsure by more than the last one.
  const PressureDifference beyond = -std::max(psi(2), last.plus_minus * last.as_read);
  const PressureDifference fallen = std::min(beyond, -first.plus_minus * last.as_read);
  const bool far_enough =
      last.residual * last.as_read <= beyond && (last.residual - first.residual) * last.as_read <= fallen;
  if (!each_lower || !far_enough || last.day - first.day < 14) return false;
  return changed_steadily(readings) || leaks_by_hand(readings.first(readings.size() - 1));
}

}  // namespace

TireVerdict tire_verdict_by_hand(std::span<const HandReading> readings, std::optional<GaugePressure> pressure,
                                 std::optional<GaugePressure> minimum) {
  if (readings.empty()) return TireVerdict::unknown;
  if (leaks_by_hand(readings)) return TireVerdict::leaking;
  const HandReading& last = readings.back();
  if (last.residual * last.as_read <= -std::max(psi(3), last.plus_minus * last.as_read)) return TireVerdict::low;
  return below(pressure, minimum) ? TireVerdict::cold : TireVerdict::fine;
}

}  // namespace overwinter
