#include "rules/gear/place_air.h"

#include <algorithm>
#include <chrono>
#include <cmath>

#include "rules/physics/moist_air.h"
#include "rules/physics/moist_air_uncertainty.h"

namespace overwinter {
namespace {

constexpr double ice_point_vapor = 611.15;  // Pa over ice at 0 degC (Murphy & Koop 2005)

template <class Value, class Slope>
std::optional<Reckoned> saturated_at(const Value& point, const Slope& slope, const Reckoned& vapor) {
  if (!point || !slope || !(vapor.value > 0)) return std::nullopt;
  return Reckoned{point->value, vapor.plus_minus / vapor.value / *slope};
}

}  // namespace

const char* why_not_now(const Sample& reading, Instant now, const char* if_unknown) {
  if (!reading.known) return if_unknown;
  return reading.by_hand && now - reading.at > hand_reach ? read_by_hand_long_ago : nullptr;
}

bool read_together(const Sample& a, const Sample& b) {
  return (!a.by_hand && !b.by_hand) || std::chrono::abs(a.at - b.at) <= hand_reach;
}

const char* why_air_is_not_of_now(const Sample& temperature, const Sample& humidity, Instant now) {
  if (const char* why = why_not_now(temperature, now, no_temperature)) return why;
  return why_not_now(humidity, now, no_humidity);
}

PlaceAir air_of_now(const Surroundings& around, HumidityOver over) {
  const Sample temperature = around.measured(index_of(PlaceQuantity::temperature));
  const Sample humidity = around.measured(index_of(PlaceQuantity::humidity));
  PlaceAir air;
  air.unknown_because = why_air_is_not_of_now(temperature, humidity, around.now());
  return air.known() ? reckon_air(temperature, humidity, over) : air;
}

PlaceAir reckon_air(const Sample& temperature, const Sample& humidity, HumidityOver over) {
  PlaceAir air;
  if (!temperature.known) return air;
  air.unknown_because = no_humidity;
  if (!humidity.known) return air;
  air.unknown_because = not_read_together;
  if (!read_together(temperature, humidity)) return air;

  const Temperature t(temperature.value);
  Share rh(std::clamp(humidity.value, 0.0, 1.0));
  Share u_rh(humidity.plus_minus);
  if (over == HumidityOver::ice) {
    const auto over_water = humidity_over_water(t, rh);
    if (!over_water) {
      air.unknown_because = over_water.error().reason;
      return air;
    }
    rh = *over_water;
    u_rh = humidity_over_water(t, u_rh).value_or(u_rh);
  }
  const auto moist = moist_air(t, rh);
  if (!moist) {
    air.unknown_because = moist.error().reason;
    return air;
  }
  const TemperatureStep u_t(temperature.plus_minus);
  air.unknown_because = nullptr;
  air.temperature = t.celsius();
  air.humidity = rh.value;
  const AbsolutePressure e = moist->vapor_pressure();
  air.vapor_pressure = {e.value, vapor_pressure_uncertainty(*moist, u_t, u_rh).value};
  air.absolute_humidity = {moist->absolute_humidity().value, absolute_humidity_uncertainty(*moist, u_t, u_rh).value};
  air.vapor_pressure_deficit = {moist->vapor_pressure_deficit().value,
                                vapor_pressure_deficit_uncertainty(*moist, u_t, u_rh).value};

  const auto dew = dew_point_at(e);
  if (dew) {
    air.dew_point = saturated_at(dew, saturation_slope(*dew), air.vapor_pressure);
  } else {
    air.no_dew_point = dew.error().reason;
  }
  const auto frost = frost_point_at(e);
  if (frost) {
    air.frost_point = saturated_at(frost, saturation_slope_over_ice(*frost), air.vapor_pressure);
  } else {
    air.no_frost_point = frost.error().reason;
  }
  return air;
}

std::optional<Reckoned> limit_point(double surface, double vapor_pressure, const std::optional<Reckoned>& dew_point,
                                    const std::optional<Reckoned>& frost_point) {
  return surface < 0 && vapor_pressure < ice_point_vapor && frost_point ? frost_point : dew_point;
}

OutdoorAir present_outdoors(const Surroundings& around) {
  const auto sample = [&](PlaceQuantity q) { return around.present(Surroundings::Whose::outdoors, index_of(q)); };
  const auto reckoned = [&](PlaceQuantity q) -> std::optional<Reckoned> {
    const Sample s = sample(q);
    if (!s.known) return std::nullopt;
    return Reckoned{s.value, s.plus_minus};
  };
  using enum PlaceQuantity;
  return {sample(temperature), sample(rainfall), reckoned(vapor_pressure), reckoned(dew_point), reckoned(frost_point)};
}

void set_or_unset(Surroundings& around, PlaceQuantity q, const std::optional<Reckoned>& value, const char* because) {
  if (value) {
    around.set(index_of(q), value->value, value->plus_minus);
  } else {
    around.unset(index_of(q), because);
  }
}

void tell_air(Surroundings& around, const PlaceAir& air) {
  using enum PlaceQuantity;
  if (!air.known()) {
    for (const auto q : {dew_point, frost_point, vapor_pressure, absolute_humidity, vapor_pressure_deficit}) {
      around.unset(index_of(q), air.unknown_because);
    }
    return;
  }
  set_or_unset(around, dew_point, air.dew_point, air.no_dew_point);
  set_or_unset(around, frost_point, air.frost_point, air.no_frost_point);
  const auto tell = [&around](PlaceQuantity q, const Reckoned& r) { around.set(index_of(q), r.value, r.plus_minus); };
  tell(vapor_pressure, air.vapor_pressure);
  tell(absolute_humidity, air.absolute_humidity);
  tell(vapor_pressure_deficit, air.vapor_pressure_deficit);
}

}  // namespace overwinter
