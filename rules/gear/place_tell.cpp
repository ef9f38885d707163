// What a place answers about its surfaces, moisture, mold, heating and door.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>

#include "rules/gear/explanation_printer.h"
#include "rules/gear/place_model.h"
#include "rules/physics/in_quadrature.h"
#include "rules/physics/moist_air.h"
#include "rules/physics/vapor_saturation.h"

namespace overwinter {
namespace {

using Whose = Surroundings::Whose;

constexpr Span mold_hold = 3 * one_hour;  // the last reading stands in this long, then the index holds
constexpr double wetting_share = 0.8;     // k = 2 of the deposit: the film of still air, a factor of 2
constexpr double mold_share = 0.8;        // k = 2 of the index: a factor of 2 in time is usual

const char* either(bool first_is_missing, const char* first, const char* second) {
  return first_is_missing ? first : second;
}

}  // namespace

void PlaceModel::pass_moisture_hour(Surroundings& around, Instant hour, bool present) {
  using enum PlaceQuantity;
  const Sample t = around.at(Whose::own, index_of(temperature), hour);
  const Sample rh = around.at(Whose::own, index_of(humidity), hour);
  const auto stands = [&](const Sample& s) { return s.known && std::chrono::abs(s.at - hour) <= mold_hold; };
  const PlaceAir air = stands(t) && stands(rh) ? reckon_air(t, rh, humidity_over(around)) : PlaceAir{};
  const MoldClass class_of_place = mold_class(around);
  if (air.known()) mold_.pass_hour(air.temperature, air.humidity, class_of_place);
  const bool sixth_hour = std::chrono::floor<std::chrono::hours>(hour).time_since_epoch().count() % 6 == 0;
  if (sixth_hour || !mold_ahead_) mold_ahead_ = mold_.ahead(class_of_place);

  // The vapor outdoors is known for the present only.
  const OutdoorAir outdoors = present_outdoors(around);
  const auto saturated = saturation_pressure(Temperature(outdoors.temperature.value));
  if (!present || !air.known() || !outdoors.temperature.known || !outdoors.vapor_pressure || !saturated) {
    wet_source_.pass_unknown_hour();
    return;
  }
  const Measured door = around.measured(index_of(door_open));
  const bool open = (door.known && door.value != 0) || door_.suspected();
  const auto most = humidity_over_water(Temperature(air.temperature), Share(1));
  wet_source_.pass_hour({air.humidity, most ? most->value : 1, outdoors.vapor_pressure->value / saturated->value,
                         air.vapor_pressure, *outdoors.vapor_pressure, !open});
}

void PlaceModel::tell_surfaces(Surroundings& around, const Measured& inside, const OutdoorAir& outdoors) {
  using enum PlaceQuantity;
  coldest_surface_.reset();
  std::optional<Reckoned> skin, mass, margin;
  const char* no_inside = why_not_now(inside, around.now(), no_temperature);
  if (no_inside == nullptr && outdoors.temperature.known) {
    skin = skin_temperature(inside, outdoors.temperature, overwinter::temperature_factor(around));
    coldest_surface_ = skin->value;
  }
  const char* no_skin = either(no_inside != nullptr, no_inside, no_outdoor_temperature);
  set_or_unset(around, surface_temperature, skin, no_skin);

  if (skin && air_now_.known()) {
    const auto limit =
        limit_point(skin->value, air_now_.vapor_pressure.value, air_now_.dew_point, air_now_.frost_point);
    if (limit) margin = {skin->value - limit->value, in_quadrature(skin->plus_minus, limit->plus_minus)};
  }
  set_or_unset(around, condensation_margin, margin,
               skin ? either(!air_now_.known(), air_now_.unknown_because, air_now_.no_dew_point) : no_skin);

  const Span lag = mass_lag(around);
  const Sample lagged = around.lagged_at(Whose::own, index_of(PlaceQuantity::temperature), lag, around.now());
  if (no_inside == nullptr && lagged.known) {
    mass = cold_mass(inside, lagged.value, around.now() - watched_since_, lag);
    coldest_surface_ = std::min(coldest_surface_.value_or(mass->value), mass->value);
  }
  const char* no_mass = either(no_inside != nullptr, no_inside, no_temperature);
  set_or_unset(around, cold_mass_temperature, mass, no_mass);
  tell_thaw(around, outdoors, mass, no_mass);
}

void PlaceModel::tell_thaw(Surroundings& around, const OutdoorAir& outdoors, const std::optional<Reckoned>& mass,
                           const char* no_mass) {
  using enum PlaceQuantity;
  const auto damper = damper_of(air_now_, outdoors);
  std::optional<Reckoned> margin;
  double rate = 0;
  if (mass && damper) {
    const auto limit = limit_point(mass->value, damper->vapor_pressure.value, damper->dew_point, damper->frost_point);
    if (limit) margin = {mass->value - limit->value, in_quadrature(mass->plus_minus, limit->plus_minus)};
  }
  if (margin) {
    rate = wetting_rate(*damper, mass->value, around.station_pressure_at(around.now()).value);
  }
  thaw_.pass_time(around.now());
  thaw_.judge(around.now(), margin ? std::optional(margin->value) : std::nullopt, rate);

  const char* unknown = !mass     ? no_mass
                        : !damper ? "neither inside nor outdoors are temperature and humidity known"
                                  : "there is no dew point";
  set_or_unset(around, thaw_margin, margin, unknown);
  const bool has_wetting = margin || thaw_.wetting() > 0;
  set_or_unset(around, thaw_wetting,
               has_wetting ? std::optional(Reckoned{thaw_.wetting(), wetting_share * thaw_.wetting()}) : std::nullopt,
               unknown);
}

void PlaceModel::tell_moisture(Surroundings& around, const OutdoorAir& outdoors) {
  using enum PlaceQuantity;
  const auto excess = overwinter::vapor_excess(air_now_, outdoors);
  const char* unknown = either(!air_now_.known(), air_now_.unknown_because, no_outdoor_humidity);
  set_or_unset(around, PlaceQuantity::vapor_excess, excess, unknown);
  const auto air_it = airing(excess, outdoors, coldest_surface_);
  if (air_it) {
    around.set(index_of(airing_helps), air_it->helps ? 1 : 0);
  } else {
    around.unset(index_of(airing_helps), excess ? "the coldest surface is not known" : unknown);
  }
  if (!excess) {
    around.unset(index_of(wet_source_suspected), unknown);
  } else if (!wet_source_.can_judge()) {
    around.unset(index_of(wet_source_suspected), "fewer than three days of humidity inside and outdoors are known");
  } else {
    around.set(index_of(wet_source_suspected), wet_source_.suspected() ? 1 : 0);
  }
}

void PlaceModel::tell_mold(Surroundings& around) const {
  using enum PlaceQuantity;
  const auto told = [&](PlaceQuantity q, std::optional<double> index, const char* because) {
    set_or_unset(around, q, index ? std::optional(Reckoned{*index, mold_share * *index}) : std::nullopt, because);
  };
  const bool begun = mold_.hours() > 0;
  told(mold_index, begun ? std::optional(mold_.index()) : std::nullopt,
       "no full hour of temperature and humidity is known yet");
  told(mold_index_ahead, mold_ahead_, "fewer than 24 hours of temperature and humidity are known");
}

void PlaceModel::tell_heating(Surroundings& around, const Measured& inside, const OutdoorAir& outdoors) {
  using enum PlaceQuantity;
  const auto set_temperature = around.parameter(index_of(PlaceParameter::set_temperature));
  if (!is_heated(around)) {
    around.unset(index_of(heating_failed), "the place is not heated");
    around.unset(index_of(time_until_freezing), "the place is not heated");
    return;
  }
  if (inside.known && set_temperature) {
    const Measured door = around.measured(index_of(door_open));
    heating_.take({inside.at, around.now(), inside.value,
                   outdoors.temperature.known ? std::optional(outdoors.temperature.value) : std::nullopt,
                   door.known && door.value != 0},
                  *set_temperature);
    around.set(index_of(heating_failed), heating_.failed() ? 1 : 0);
  } else {
    around.unset(index_of(heating_failed), either(!inside.known, no_temperature, "no set_temperature is given"));
  }
  const char* because = nullptr;
  const auto left = until_freezing(inside, outdoors, because);
  set_or_unset(around, time_until_freezing, left, because);
}

std::optional<Reckoned> PlaceModel::until_freezing(const Measured& inside, const OutdoorAir& outdoors,
                                                   const char*& because) const {
  because = either(!inside.known, no_temperature, no_outdoor_temperature);
  if (!inside.known || !outdoors.temperature.known) return std::nullopt;
  return freezing_time(inside.value, outdoors.temperature.value, heating_.time_constant(),
                       heating_.time_constant_is_assumed(), because);
}

std::string PlaceModel::detail_in_words(const Surroundings& around) const {
  const Measured inside = around.measured(index_of(PlaceQuantity::temperature));
  if (!is_heated(around) || !inside.known) return {};
  if (inside.value <= 0) return "It is freezing there.";
  const char* because = nullptr;
  const auto left = until_freezing(inside, present_outdoors(around), because);
  if (!left) return {};
  return fmt::format("Frost in: {}.", print_value(left->value, Type::duration(), Shown::by_dimension,
                                                  around.display_units(), around.zone(), around.now()));
}

std::string PlaceModel::verdict_in_words(const Surroundings& around, std::uint8_t quantity, const Sample& reading,
                                         const Expectation&) const {
  const auto set_temperature = around.parameter(index_of(PlaceParameter::set_temperature));
  if (quantity != index_of(PlaceQuantity::temperature) || !is_heated(around) || !set_temperature) return {};
  const double above = reading.value - *set_temperature;
  if (std::abs(above) < heating_off_by) return fmt::format("near its set temperature; {}", its_thermostat_decides);
  const std::string by = ExplanationPrinter{around}.difference(std::abs(above));
  return fmt::format("{} {} its set temperature; {}", by, above < 0 ? "below" : "above", its_thermostat_decides);
}

void PlaceModel::tell_door(Surroundings& around, bool heated) const {
  const std::uint8_t index = index_of(PlaceQuantity::door_suspected_open);
  if (heated) {
    around.unset(index, "the place is heated: heat hides what an open door does");
  } else if (room_.model().hours < hours_to_know_a_room) {
    around.unset(index, "the place is not yet known: fewer than 48 hours were learned");
  } else {
    around.set(index, door_.suspected() ? 1 : 0);
  }
}

}  // namespace overwinter
