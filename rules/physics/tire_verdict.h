// Tells a cold tire from a leaking one.
//
// Works on normalized pressures (tire_pressure.h), so that cold weather alone moves nothing. Slopes are per week, loss
// negative. Thresholds are common practice, no source, checked against simulated winters: one psi a week is found in 17
// or 18 daily readings at 1 psi resolution (one false alarm in a thousand, nine finds in ten). A move that all tires
// make together may be an error of the temperature or of the barometer, not four leaks: one tire cannot tell, and a
// person with a gauge can.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>

#include "rules/physics/outcome.h"
#include "rules/quantity/strong.h"

namespace overwinter {

enum class TireVerdict : std::uint8_t { fine, cold, leaking, sudden_loss, low, unknown };

// One-sigma error of a normalized pressure: sqrt(sensor^2 + resolution^2 / 12 + ((p + b) / T sigma_T)^2).
// sensor: its one-sigma error; resolution: the step of its display; temperature_sigma: that of the tire air's
// temperature. Source: propagation of errors; uniform quantization (textbook). Ranges as normalized_pressure; errors
// 0..1000 kPa and 0..100 K.
Outcome<PressureDifference> tire_noise(PressureDifference sensor, PressureDifference resolution, GaugePressure pressure,
                                       AbsolutePressure station_pressure, Temperature temperature,
                                       TemperatureStep temperature_sigma);

// A trend of normalized pressures over 14..28 days (robust_trend.h).
struct TireTrend {
  PressureDifference slope_per_week{0};
  PressureDifference standard_error_per_week{0};
  std::size_t count = 0;
};

// At least 14 readings, slope <= -(seepage + 3.1 standard errors) and <= -(seepage + 0.25 psi a week).
bool tire_leaks(const TireTrend& trend, PressureDifference seepage_per_week);

// 5 psi as read: whatever it was filled to and however cold it is, such a tire stands on its rim or nearly so. Nobody
// fills a camper's tire so softly (common practice, no source).
inline constexpr GaugePressure nearly_flat{5 * 6894.757293168};

// Where nothing says what the tire should read (no residual).
//   low      nearly flat; normalized below the minimum; or, its temperature unknown, less than a tire at its minimum
//            reads at -60 degC: no cold explains that
//   fine     normalized not below the minimum, and no fill is told that it could have lost from
//   unknown  else: cold alone may explain what is below the minimum, and a leak may be at work above it
TireVerdict tire_verdict_by_minimum(std::optional<GaugePressure> pressure, std::optional<GaugePressure> normalized,
                                    std::optional<GaugePressure> minimum, bool fill_told);

// What is known of a tire. Leave out what is not.
struct TireState {
  std::optional<GaugePressure> pressure{};       // as it reads now
  std::optional<GaugePressure> normalized{};     // the same at 20 degC and one atmosphere
  std::optional<GaugePressure> minimum{};        // the owner's lowest, at 20 degC
  bool fill_told = false;                        // and so it could have a residual
  std::optional<PressureDifference> residual{};  // normalized minus expected from the fill less seepage
  std::optional<TireTrend> trend{};
  PressureDifference seepage_per_week{0};    // allowance, not negative: the rate (tire_seepage.h) times the pressure
  std::optional<bool> leaks{};               // by a caller who remembers more than one trend; else the trend decides
  std::optional<PressureDifference> jump{};  // normalized minus the median of the five before it
  bool jump_confirmed = false;               // by a second reading: never on one packet
  PressureDifference noise{0};               // tire_noise
  std::optional<PressureDifference> noise_at_jump{};  // when the jump was confirmed; without it `noise`
};

// The first that holds:
//   sudden_loss  confirmed jump <= -max(3 psi, 5 noise_at_jump)
//   leaking      tire_leaks
//   low          residual <= -max(2 psi, 3 noise)
//   cold         below the minimum, residual fine
//   fine
// Without a residual: tire_verdict_by_minimum; where that says nothing, a normalized pressure with a trend of 14
// readings that does not fall is fine. unknown without a pressure.
TireVerdict tire_verdict(const TireState& tire);

// A hand reading. residual as in TireState; plus_minus is twice its one-sigma error.
struct HandReading {
  double day = 0;
  PressureDifference residual;
  PressureDifference plus_minus;
  double as_read = 1;  // what one of these shows on the gauge at the reading's temperature: its kelvin / 293.15
};

// Whether the readings, oldest first, lie on one straight line: each within max(5 psi, two fifths of the change) of
// the one from the first to the last. Where most of it is one step, it has a size and no rate. Common practice, no
// source.
bool changed_steadily(std::span<const HandReading> readings);

// The verdict from hand readings, oldest first, where no sensor trend exists.
//   leaking      at least three over at least 14 days, each below the one before, steadily, the last at least
//                max(2 psi, plus_minus) below expectation and as far below the first, by the plus_minus of that one too
//                (in the sun it is the larger); also when a run that was one falls on
//   low          the last at least max(3 psi, plus_minus) below expectation
//   cold, fine   as in tire_verdict, by the last
// Limits hold for what a gauge shows at the temperature of the last reading, which is what a person is told. unknown
// without a reading. Common practice, no source.
TireVerdict tire_verdict_by_hand(std::span<const HandReading> readings, std::optional<GaugePressure> pressure,
                                 std::optional<GaugePressure> minimum);

}  // namespace overwinter
