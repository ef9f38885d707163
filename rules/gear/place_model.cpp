#include "rules/gear/place_model.h"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <utility>

namespace overwinter {
namespace {

using Whose = Surroundings::Whose;

constexpr Span past_the_hour = 5 * one_minute;
constexpr std::int64_t most_hours_at_once = 400;  // after a downtime; older ones are a gap
constexpr Span room_reach = one_hour;
constexpr Span past_course = 2 * one_hour;  // the room is followed an hour behind the whole hour that has passed

Instant whole_hour(Instant t) { return std::chrono::floor<std::chrono::hours>(t); }

double parameter_or(const Surroundings& around, PlaceParameter p, double otherwise) {
  return around.parameter(index_of(p)).value_or(otherwise);
}

bool same(const Sample& a, const Sample& b) {
  return a.known == b.known && a.value == b.value && a.plus_minus == b.plus_minus;
}

void leave_the_rest_out(Surroundings& around) {
  for (std::uint8_t q = index_of(PlaceQuantity::surface_temperature); q < place_quantity_count; ++q) {
    around.unset(q, it_is_outdoors);
  }
}

}  // namespace

bool is_heated(const Surroundings& around) { return parameter_or(around, PlaceParameter::heated, 0) != 0; }

double temperature_factor(const Surroundings& around) {
  if (const auto factor = around.parameter(index_of(PlaceParameter::temperature_factor))) return *factor;
  const double surface = parameter_or(around, PlaceParameter::surface, 1);
  return temperature_factor_of(static_cast<PlaceSurface>(static_cast<std::uint8_t>(surface)));
}

MoldClass mold_class(const Surroundings& around) {
  return static_cast<MoldClass>(static_cast<std::uint8_t>(parameter_or(around, PlaceParameter::mold_class, 1)));
}

HumidityOver humidity_over(const Surroundings& around) {
  return static_cast<HumidityOver>(static_cast<std::uint8_t>(parameter_or(around, PlaceParameter::humidity_over, 0)));
}

Span mass_lag(const Surroundings& around) {
  return span_from_seconds(parameter_or(around, PlaceParameter::mass_lag, to_seconds(6 * one_hour)));
}

std::optional<double> reading_near(const Surroundings& around, Whose whose, PlaceQuantity q, Instant instant,
                                   Span reach) {
  const Sample s = around.at(whose, index_of(q), instant);
  if (!s.known || std::chrono::abs(s.at - instant) > reach) return std::nullopt;
  return s.value;
}

std::optional<double> sun_near(const Surroundings& around, Instant instant) {
  const auto outdoors = reading_near(around, Whose::outdoors, PlaceQuantity::irradiance, instant, room_reach);
  return outdoors ? outdoors : reading_near(around, Whose::own, PlaceQuantity::irradiance, instant, room_reach);
}

bool is_night(const Surroundings& around, Instant instant) {
  const int hour = local_hour(instant, around.zone());
  return hour >= 20 || hour < 6;
}

void PlaceModel::update(Surroundings& around) {
  const bool first = !told_;
  const Measured temperature = around.measured(index_of(PlaceQuantity::temperature));
  const Measured humidity = around.measured(index_of(PlaceQuantity::humidity));
  tell_own_air(around, temperature, humidity);
  if (around.is_outdoors()) {
    if (first) leave_the_rest_out(around);
    return;
  }
  air_now_ = air_;
  if (air_.known()) air_now_.unknown_because = why_air_is_not_of_now(temperature, humidity, around.now());
  if (watched_since_ == never && temperature.known) watched_since_ = temperature.at;
  pass_hours(around);
  const OutdoorAir outdoors = present_outdoors(around);
  tell_surfaces(around, temperature, outdoors);
  tell_moisture(around, outdoors);
  tell_mold(around);
  tell_heating(around, temperature, outdoors);
  tell_door(around, is_heated(around));
}

void PlaceModel::tell_own_air(Surroundings& around, const Sample& temperature, const Sample& humidity) {
  const HumidityOver over = humidity_over(around);
  const auto over_index = static_cast<double>(over);
  const bool together = read_together(temperature, humidity);
  if (told_ && same(temperature, told_temperature_) && same(humidity, told_humidity_) && over_index == told_over_ &&
      together == told_together_) {
    return;
  }
  air_ = reckon_air(temperature, humidity, over);
  tell_air(around, air_);
  told_ = true;
  told_temperature_ = temperature;
  told_humidity_ = humidity;
  told_over_ = over_index;
  told_together_ = together;
}

void PlaceModel::pass_hours(Surroundings& around) {
  const Instant due = whole_hour(around.now() - past_the_hour);
  if (hour_ == Instant{}) hour_ = due;
  hour_ = std::max(hour_, due - most_hours_at_once * one_hour);
  while (hour_ < due) {
    hour_ += one_hour;
    pass_hour(around, hour_, hour_ == due);
  }
}

void PlaceModel::pass_hour(Surroundings& around, Instant hour, bool present) {
  pass_room_hour(around, hour - one_hour);
  pass_moisture_hour(around, hour, present);
}

void PlaceModel::pass_room_hour(Surroundings& around, Instant hour) {
  using enum PlaceQuantity;
  const Instant start = hour - one_hour;
  RoomHourReadings readings;
  readings.end = hour;
  readings.inside_start = reading_near(around, Whose::own, temperature, start, room_reach);
  readings.inside_end = reading_near(around, Whose::own, temperature, hour, room_reach);
  readings.outside_start = reading_near(around, Whose::outdoors, temperature, start, room_reach);
  readings.outside_end = reading_near(around, Whose::outdoors, temperature, hour, room_reach);
  readings.sun = sun_near(around, start);
  readings.night = is_night(around, start);
  if (is_heated(around)) {
    room_.forget();
    door_.forget();
    heating_.pass_hour(readings, around.parameter(index_of(PlaceParameter::set_temperature)));
    return;
  }
  heating_.forget();
  const Measured door = around.measured(index_of(door_open));
  const bool stands_open = door.known && door.value != 0;
  // The hour that is learned ended an hour ago: what counts is how the door stood at its begin and at its end.
  room_.pass_hour(readings, !stood_open_ && !stood_open_before_ && !door_.suspected());
  if (const auto since = room_.doubtful_since()) {
    door_.forget_since(*since);
  } else {
    door_.pass_hour(readings, room_.model());
  }
  stood_open_before_ = std::exchange(stood_open_, stands_open);
  if (door_.is_how_it_is_kept(hour)) {
    door_.forget();
    room_.forget();
  }
}

Instant PlaceModel::next_wake() const {
  if (told_ && hour_ == Instant{}) return never;  // outdoors
  return hour_ == Instant{} ? Instant{} : hour_ + one_hour + past_the_hour;
}

std::optional<PlaceModel::Course> PlaceModel::course(const Surroundings& around, Instant instant,
                                                     const char*& because) const {
  const Instant hour = whole_hour(instant);
  const auto outside_at = [&](Instant t) {
    return reading_near(around, Whose::outdoors, PlaceQuantity::temperature, t, room_reach);
  };
  const Instant known = std::min(hour, room_.course_end());
  std::optional<double> at_hour = room_.course_at(known);
  if (hour - known > past_course) at_hour.reset();
  for (Instant t = known; at_hour && t < hour; t += one_hour) {
    const auto outside = outside_at(t);
    at_hour = outside ? std::optional(room_.step(*at_hour, *outside, sun_near(around, t), 1)) : std::nullopt;
  }
  const auto outside = outside_at(hour);
  if (!outside) {
    because = no_outdoor_temperature;
    return std::nullopt;
  }
  if (!at_hour) {
    because = "the course of the closed place is not known for that time";
    return std::nullopt;
  }
  Course c{*at_hour, *outside, sun_near(around, hour), to_seconds(instant - hour) / 3600};
  const auto plus_minus = room_.plus_minus(!c.sun && !is_night(around, instant));
  if (!plus_minus) {
    because = "too few hours have been compared with the learned course of the place";
    return std::nullopt;
  }
  c.plus_minus = *plus_minus;
  c.value = room_.step(c.at_hour, c.outside, c.sun, c.part_of_hour);
  return c;
}

Expectation PlaceModel::expected(const Surroundings& around, std::uint8_t quantity, Instant instant,
                                 bool by_hand) const {
  if (quantity != index_of(PlaceQuantity::temperature)) return Model::expected(around, quantity, instant, by_hand);
  if (around.is_outdoors()) return {0, 0, it_is_outdoors};
  if (is_heated(around)) return {0, 0, its_thermostat_decides};
  if (!time_constant(room_.model())) return {0, 0, time_constant(room_.model()).error().reason};
  const char* because = nullptr;
  const auto c = course(around, instant, because);
  if (!c) return {0, 0, because};
  return {c->value, c->plus_minus, nullptr};
}

void PlaceModel::save(ArchiveWriter& out) const {
  out(hour_, watched_since_, mold_, mold_ahead_, room_, door_, heating_, wet_source_, thaw_, stood_open_,
      stood_open_before_);
}

void PlaceModel::load(ArchiveReader& in) {
  in(hour_, watched_since_, mold_, mold_ahead_, room_, door_, heating_, wet_source_, thaw_, stood_open_,
     stood_open_before_);
  told_ = false;
}

}  // namespace overwinter
