#include "rules/engine/entity_view.h"

#include <algorithm>
#include <cmath>

#include "rules/engine/question.h"
#include "rules/engine/season.h"
#include "rules/gear/place.h"
#include "rules/physics/in_quadrature.h"
#include "rules/physics/moist_air.h"

namespace overwinter {
namespace {

// A station value further than this from the standard pressure looks reduced to sea level.
constexpr double station_tolerance = 6000;             // Pa
constexpr double standard_pressure_plus_minus = 3000;  // Pa, k = 2: weather moves it by about 3 kPa
// Of the station pressure, per meter of altitude, k = 2: how far the air below may be from the standard's, as
// station_pressure_from_sea_level documents it (one sigma 0.1 % per 100 m).
constexpr double reduced_plus_minus = 2e-5;

Span reach_of(const World& world, std::uint32_t slot) {
  const std::uint32_t sensor = world.plan->slots[slot].sensor;
  if (sensor == no_index) return hand_reach;
  const Span stale = world.plan->sensors[sensor].stale_after;
  return stale == Span::max() ? hand_reach : stale;
}

// A reading stands beside the messages of the instant at which it goes stale, and no more once it is unknown.
bool has_gone_stale(const World& world, std::uint32_t slot, Instant at, Instant instant) {
  return instant == world.now && !world.board[slot].has_value && instant - at >= reach_of(world, slot);
}

}  // namespace

double plus_minus_of(const World& world, std::uint32_t slot, bool by_hand) {
  const Slot& spec = world.plan->slots[slot];
  if (!by_hand && spec.sensor != no_index) return world.plan->sensors[spec.sensor].plus_minus;
  return world.plan->entities[spec.entity].kind->quantities[spec.index].plus_minus;
}

bool fits_altitude(const World& world, double station_pressure) {
  return std::abs(station_pressure - world.standard_pressure) <= station_tolerance;
}

Expectation expected_now(const World& world, std::uint32_t slot) {
  const Slot& spec = world.plan->slots[slot];
  const EntityView view = EntityView::to_ask(world, spec.entity);
  const SlotState& s = world.board[slot];
  const bool has_expected =
      spec.role == Slot::Role::measured && world.entity(spec.entity).kind->quantities[spec.index].has_expected;
  if (!has_expected || world.models[spec.entity] == nullptr || !view.has_source(spec.index)) return s.expected_now;
  const bool just_judged = s.at == world.now && s.touched_in == world.board.step();
  return just_judged ? s.expected : world.models[spec.entity]->expected(view, spec.index, world.now, s.by_hand);
}

Sample sample_at(const World& world, std::uint32_t slot, Instant instant) {
  const auto reading = world.series[slot].track.at(instant, reach_of(world, slot));
  if (!reading || has_gone_stale(world, slot, reading->at, instant)) return {};
  return {reading->value, plus_minus_of(world, slot, reading->by_hand), reading->at, true, reading->by_hand};
}

Measured EntityView::measured(std::uint8_t quantity) const {
  const std::uint32_t slot = first_quantity_ + quantity;
  const SlotState& s = world_.board[slot];
  Measured m;
  m.value = s.value;
  m.plus_minus = s.plus_minus;
  m.at = s.at;
  m.known = s.known();
  m.by_hand = s.by_hand;
  m.uncertain = s.has_value && s.quality == Quality::uncertain;
  m.fresh = m.known && std::find(world_.judged.begin(), world_.judged.end(), slot) != world_.judged.end();
  if (m.fresh && entity_.kind->quantities[quantity].has_expected) m.expected = &s.expected;
  return m;
}

bool EntityView::has_source(std::uint8_t quantity) const {
  const std::uint32_t slot = first_quantity_ + quantity;
  const Slot& spec = world_.plan->slots[slot];
  return spec.is_brought() || world_.series[slot].hand.present;
}

std::optional<AbsolutePressure> EntityView::sealed_reference(std::uint8_t quantity) const {
  const std::uint32_t index = world_.plan->slots[first_quantity_ + quantity].sensor;
  if (index == no_index) return std::nullopt;
  const Sensor& sensor = world_.plan->sensors[index];
  if (sensor.reads != PressureReads::sealed) return std::nullopt;
  return AbsolutePressure(sensor.reference);
}

std::optional<double> EntityView::parameter(std::uint8_t index) const {
  const SlotState& s = world_.board[first_parameter_ + index];
  if (!s.has_value) return std::nullopt;
  return s.value;
}

bool EntityView::assumed(std::uint8_t index) const {
  const std::uint32_t slot = first_parameter_ + index;
  return world_.plan->slots[slot].assumed && world_.board[slot].value == world_.plan->slots[slot].value;
}

std::optional<std::uint32_t> EntityView::owner(Whose whose) const {
  std::uint32_t index = no_index;
  switch (whose) {
    case Whose::own:
      index = index_;
      break;
    case Whose::place:
      index = entity_.place;
      break;
    case Whose::outdoors:
      index = world_.plan->outdoors;
      break;
  }
  if (index == no_index) return std::nullopt;
  return index;
}

std::optional<std::uint32_t> EntityView::measured_slot(Whose whose, std::uint8_t quantity) const {
  const auto index = owner(whose);
  if (!index) return std::nullopt;
  return world_.plan->entities[*index].quantity_slot(quantity);
}

Sample EntityView::at(Whose whose, std::uint8_t quantity, Instant instant) const {
  const auto slot = measured_slot(whose, quantity);
  return slot ? sample_at(world_, *slot, instant) : Sample{};
}

Sample EntityView::lagged_at(Whose whose, std::uint8_t quantity, Span tau, Instant instant) const {
  const auto slot = measured_slot(whose, quantity);
  if (!slot) return {};
  Track& track = world_.series[*slot].track;
  if (!asks_only_) track.follow_lag(instant, tau);
  const auto reading = track.lagged_at(instant, tau, reach_of(world_, *slot));
  if (!reading || has_gone_stale(world_, *slot, reading->at, instant)) return {};
  return {reading->value, plus_minus_of(world_, *slot, reading->by_hand), reading->at, true, reading->by_hand};
}

Sample EntityView::present(Whose whose, std::uint8_t quantity) const {
  const auto slot = measured_slot(whose, quantity);
  if (!slot) return {};
  const SlotState& s = world_.board[*slot];
  return {s.value, s.plus_minus, s.at, s.known(), s.by_hand};
}

std::optional<double> EntityView::place_parameter(std::uint8_t index) const {
  const auto place = owner(Whose::place);
  if (!place) return std::nullopt;
  const SlotState& s = world_.board[world_.plan->entities[*place].parameter_slot(index)];
  if (!s.has_value) return std::nullopt;
  return s.value;
}

bool EntityView::is_outdoors() const {
  const std::uint32_t place = entity_.kind == &place_kind() ? index_ : entity_.place;
  return place != no_index && place == world_.plan->outdoors;
}

Sample EntityView::station_pressure_at(Instant instant) const {
  const Sample standard{world_.standard_pressure, standard_pressure_plus_minus, instant, true, false};
  if (world_.plan->outdoors != no_index) {
    const Entity& outdoors = world_.plan->entities[world_.plan->outdoors];
    const auto station =
        sample_at(world_, outdoors.quantity_slot(static_cast<std::uint8_t>(PlaceQuantity::station_pressure)), instant);
    if (station.known && fits_altitude(world_, station.value)) return station;
    Sample sea = sample_at(world_, outdoors.quantity_slot(static_cast<std::uint8_t>(PlaceQuantity::sea_level_pressure)),
                           instant);
    if (!sea.known) return standard;
    const Length altitude(world_.plan->altitude);
    if (const auto reduced = station_pressure_from_sea_level(AbsolutePressure(sea.value), altitude)) {
      sea.plus_minus = in_quadrature(sea.plus_minus * reduced->value / sea.value,
                                     reduced_plus_minus * std::abs(altitude.value) * reduced->value);
      sea.value = reduced->value;
      return sea;
    }
  }
  return standard;
}

Instant EntityView::lay_up() const { return season_begins(world_); }

void EntityView::set(std::uint8_t quantity, double value, double plus_minus) {
  world_.board.set_computed(first_quantity_ + quantity, value, plus_minus);
}

void EntityView::unset(std::uint8_t quantity, const char* because) {
  world_.board.set_unknown(first_quantity_ + quantity, because);
}

Instant EntityView::heard_since() const { return world_.link_up ? world_.link_since : never; }

void EntityView::ask(std::string question) { add_question(world_, index_, std::move(question)); }

void EntityView::ask_of_rise(std::string question, Instant since, std::uint8_t dated) {
  add_question_of_rise(world_, index_, std::move(question), since, dated);
}

}  // namespace overwinter
