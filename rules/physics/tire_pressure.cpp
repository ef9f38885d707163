#include "rules/physics/tire_pressure.h"

#include <algorithm>

#include "rules/physics/vapor_saturation.h"
#include "rules/physics/within.h"

namespace overwinter {
namespace {

constexpr Temperature coldest_tire{-40};
constexpr Temperature hottest_tire{60};
constexpr AbsolutePressure lowest_station{50e3};
constexpr AbsolutePressure highest_station{110e3};
constexpr GaugePressure lowest_reading{-52e3};
constexpr GaugePressure highest_reading{1000e3};

constexpr const char* tire_temperature_range = "the temperature of the tire is outside -40..60 degC";
constexpr const char* station_range =
    "the station pressure is outside 50..110 kPa: give the pressure at the place, not a gauge pressure";
constexpr const char* fill_range = "the fill pressure is outside 0..120 psi gauge";

bool tire_temperature(Temperature t) { return within(t, coldest_tire, hottest_tire); }
bool station(AbsolutePressure p) { return within(p, lowest_station, highest_station); }

// Over water from 0 degC, over ice below.
Outcome<AbsolutePressure> saturation(Temperature t) {
  return t.celsius() >= 0 ? saturation_pressure(t) : saturation_pressure_over_ice(t);
}

}  // namespace

Outcome<GaugePressure> tire_pressure(GaugePressure fill_pressure, Temperature fill_temperature, Temperature temperature,
                                     AbsolutePressure fill_station_pressure, AbsolutePressure station_pressure) {
  if (!within(fill_pressure, GaugePressure(0), highest_fill)) return no_value(fill_range);
  if (!tire_temperature(fill_temperature) || !tire_temperature(temperature)) return no_value(tire_temperature_range);
  if (!station(fill_station_pressure) || !station(station_pressure)) return no_value(station_range);
  const double at_fill = absolute(fill_pressure, fill_station_pressure).value;
  const AbsolutePressure now{at_fill * temperature.kelvin() / fill_temperature.kelvin()};
  return gauge(now, station_pressure);
}

Outcome<GaugePressure> normalized_pressure(GaugePressure pressure, Temperature temperature,
                                           AbsolutePressure station_pressure) {
  if (!within(pressure, lowest_reading, highest_reading)) {
    return no_value("the pressure of the tire is outside -52..1000 kPa gauge");
  }
  if (!tire_temperature(temperature)) return no_value(tire_temperature_range);
  if (!station(station_pressure)) return no_value(station_range);
  const double now = absolute(pressure, station_pressure).value;
  if (now <= 0) return no_value("the pressure of the tire is below vacuum");
  const AbsolutePressure at_reference{now * normal_temperature.kelvin() / temperature.kelvin()};
  return gauge(at_reference, standard_atmosphere);
}

Outcome<GaugePressure> pressure_to_set(GaugePressure cold_pressure, Temperature temperature,
                                       AbsolutePressure station_pressure) {
  return tire_pressure(cold_pressure, normal_temperature, temperature, standard_atmosphere, station_pressure);
}

Outcome<PressureDifference> moist_fill_correction(Temperature fill_temperature, Temperature temperature,
                                                  Share humidity_in_tire) {
  constexpr Temperature warmest_moist{45};
  if (!within(fill_temperature, coldest_tire, warmest_moist) || !within(temperature, coldest_tire, warmest_moist)) {
    return no_value("the temperature of the tire is outside -40..45 degC, where the moisture correction holds");
  }
  if (!within(humidity_in_tire, Share(0), Share(1))) return no_value("the humidity in the tire is outside 0..100 %");
  const auto at_fill = saturation(fill_temperature);
  if (!at_fill) return tl::unexpected(at_fill.error());
  const auto now = saturation(temperature);
  if (!now) return tl::unexpected(now.error());
  const double uncondensed = humidity_in_tire.value * at_fill->value * temperature.kelvin() / fill_temperature.kelvin();
  return PressureDifference(std::min(0.0, now->value - uncondensed));
}

}  // namespace overwinter
