#include "rules/gear/tire_expectation.h"

#include <algorithm>
#include <cmath>

#include "rules/gear/place.h"
#include "rules/physics/tire_pressure.h"

namespace overwinter {
namespace {

constexpr Span air_lag = 90 * one_minute;
constexpr double absolute_zero = -273.15;
constexpr double told_fill_temperature_sigma = 2;  // K: a person read it somewhere near the tire (estimate)

std::optional<double> parameter(const Surroundings& around, TireParameter p) { return around.parameter(index_of(p)); }

bool sun_may_shine(const Surroundings& around, Instant instant) {
  const int hour = local_hour(instant, around.zone());
  return hour >= 9 && hour < 17;
}

std::optional<TireAir> place_air(const Surroundings& around, Instant instant) {
  constexpr auto whose = Surroundings::Whose::place;
  constexpr std::uint8_t temperature = index_of(PlaceQuantity::temperature);
  Sample air = around.lagged_at(whose, temperature, air_lag, instant);
  if (!air.known) air = around.at(whose, temperature, instant);
  if (!air.known) return {};
  const double sigma = sun_may_shine(around, instant) ? 5 : 2;
  return TireAir{air.value, std::max(sigma, air.plus_minus / 2), false, air.at};
}

// What the fill's gauge said, as true gauge pressure.
GaugePressure gauge_of_fill(double said, GaugeReads reads, AbsolutePressure reference, AbsolutePressure station) {
  switch (reads) {
    case GaugeReads::vented:
      break;
    case GaugeReads::sealed:
      return true_gauge(GaugePressure(said), reference, station);
    case GaugeReads::absolute:
      return gauge(AbsolutePressure(said), station);
  }
  return GaugePressure(said);
}

double square(double x) { return x * x; }

}  // namespace

std::optional<TireAir> tire_air(const Surroundings& around, Instant instant) {
  const Sample own = around.at(Surroundings::Whose::own, index_of(TireQuantity::temperature), instant);
  if (!own.known) return place_air(around, instant);
  double sigma = std::max(sun_may_shine(around, instant) ? 3.0 : 1.0, own.plus_minus / 2);
  if (own.by_hand) {
    // A hand measures one spot of the tire, in the sun perhaps, and hours from now: the air around it may be as near.
    if (const auto air = place_air(around, instant)) sigma = std::max(sigma, std::abs(own.value - air->celsius) / 2);
  }
  return TireAir{own.value, sigma, true, own.at};
}

bool TireFill::same_as(const TireFill& other) const {
  return known == other.known && date == other.date && said_pressure == other.said_pressure &&
         said_celsius == other.said_celsius && said_station == other.said_station && said_reads == other.said_reads;
}

TireFill told_fill(const Surroundings& around) {
  TireFill fill;
  const auto pressure = parameter(around, TireParameter::filled_pressure);
  if (!pressure) return fill;
  fill.known = true;
  fill.said_pressure = *pressure;
  const auto date = parameter(around, TireParameter::filled_date);
  fill.dated = date.has_value();
  fill.date = date ? instant_from_seconds(*date) : around.lay_up();

  const auto celsius = parameter(around, TireParameter::filled_temperature);
  fill.said_celsius = celsius.value_or(absolute_zero);
  fill.temperature_given = celsius.has_value();
  const auto station = parameter(around, TireParameter::filled_station_pressure);
  fill.said_station = station.value_or(0);
  fill.station_given = station.has_value();
  fill.said_reads = parameter(around, TireParameter::filled_reads).value_or(0);
  return fill;
}

TireFill tire_fill(const Surroundings& around) {
  TireFill fill = told_fill(around);
  if (!fill.known) return fill;
  if (fill.temperature_given) {
    fill.celsius = fill.said_celsius;
    fill.celsius_sigma = told_fill_temperature_sigma;
  } else if (!fill.lies_ahead_of(around.now())) {  // else the hours before it would stand for it ever after
    if (const auto air = place_air(around, fill.date)) {
      fill.celsius = air->celsius;
      fill.celsius_sigma = air->sigma;
    }
  }

  constexpr double household_barometer = 200;  // Pa, k = 2 (estimate)
  const Sample then = fill.station_given ? Sample{fill.said_station, household_barometer, fill.date, true, true}
                                         : around.station_pressure_at(fill.date);
  fill.station_pressure = then.value;
  fill.station_plus_minus = then.plus_minus;

  const auto reference = around.sealed_reference(index_of(TireQuantity::pressure)).value_or(standard_atmosphere);
  const auto reads = static_cast<GaugeReads>(fill.said_reads);
  fill.pressure = gauge_of_fill(fill.said_pressure, reads, reference, AbsolutePressure(fill.station_pressure)).value;
  return fill;
}

Sample tire_ambient(const Surroundings& around, bool by_hand, Instant instant) {
  const auto reference = by_hand ? std::nullopt : around.sealed_reference(index_of(TireQuantity::pressure));
  if (reference) return {reference->value, 0, instant, true, false};
  return around.station_pressure_at(instant);
}

TireExpectation expect_tire(const Surroundings& around, const TireFill& fill, double seeped,
                            const std::optional<TireAir>& air, const Sample& ambient, Instant instant) {
  TireExpectation e;
  const auto unknown = [&e](const char* why) {
    e.answer.unknown_because = why;
    return e;
  };
  if (!fill.known) return unknown("no fill is told (filled: {pressure, temperature, date})");
  if (instant < fill.date) {
    return unknown(fill.lies_ahead_of(around.now()) ? fill_lies_ahead : "the reading is older than the fill");
  }
  if (!fill.celsius) return unknown("the temperature at the fill is not known (filled: {temperature})");
  if (!air) return unknown("the temperature of the tire, or of its place, is not known at that instant");
  e.air = *air;
  e.ambient = ambient;

  const Temperature now(air->celsius);
  const Temperature then(*fill.celsius);
  const AbsolutePressure station(ambient.value);
  const auto dry =
      tire_pressure(GaugePressure(fill.pressure), then, now, AbsolutePressure(fill.station_pressure), station);
  if (!dry) return unknown(dry.error().reason);
  e.dry = dry->value;
  e.kept = std::exp(-seeped);
  const double lost = std::max(0.0, e.dry) * (1 - e.kept);
  e.answer.value = e.dry - lost;
  const auto gas = static_cast<FillGas>(parameter(around, TireParameter::fill_gas).value_or(0));
  if (gas == FillGas::moist_air) {
    const auto moist = moist_fill_correction(then, now, Share(1));
    e.moist = moist ? std::min(0.0, moist->value) : 0;
  }

  const double inside = absolute(GaugePressure(e.answer.value), station).value;
  const double ratio = now.kelvin() / then.kelvin();
  constexpr double factor_two = 0.7;  // ln 2: a factor of two, one sigma, as a share of the loss
  e.answer.plus_minus = std::sqrt(square(2 * air->sigma * inside / now.kelvin()) +           // temperature
                                  square(2 * fill.celsius_sigma * inside / then.kelvin()) +  // at the fill
                                  square(ambient.plus_minus) + square(fill.station_plus_minus * ratio) +
                                  square(pascals_per_psi * ratio) +  // the fill's gauge
                                  square(2 * factor_two * lost) + square(e.moist));
  return e;
}

}  // namespace overwinter
