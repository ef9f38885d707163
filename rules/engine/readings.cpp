#include "rules/engine/readings.h"

#include <algorithm>
#include <vector>

#include "rules/engine/entity_view.h"
#include "rules/engine/sensor_itself.h"
#include "rules/engine/shared_jump.h"
#include "rules/engine/silence.h"
#include "rules/engine/stuck.h"
#include "rules/gear/place.h"
#include "rules/limits.h"

namespace overwinter {
namespace {

bool was_told_within_the_hour(const World& world, const SeriesState& series) {
  return series.rejected_told != Instant{} && world.now - series.rejected_told < limits::rejections_told_every;
}

void tell_rejected(World& world, std::uint32_t index) {
  const std::uint32_t slot = world.plan->sensors[index].slot;
  SeriesState& series = world.series[slot];
  Event event;
  event.kind = EventKind::reading_rejected;
  event.gear = world.entity(world.plan->slots[slot].entity).id;
  event.quantity = world.plan->slot_name(slot);
  event.count = series.rejected;
  event.reason = series.rejected_because;
  world.emit(EventGroup::sensor, index, std::move(event));
  series.rejected = 0;
  series.rejected_told = world.now;
}

// It stays as silent as it was; where that was to be asked at this instant, it is asked in this step.
void end_no_silence(World& world, std::uint32_t sensor) {
  const std::uint32_t slot = world.plan->sensors[sensor].slot;
  if (world.series[slot].silent) watch_silence(world, world.plan->slots[slot].entity);
  arm_sensor(world, sensor);
}

// What comes within the hour after the last one told is told when the hour is over.
void count_rejected(World& world, const SensorValue& value, const char* because) {
  SeriesState& series = world.series[world.plan->sensors[value.sensor].slot];
  ++series.rejected;
  series.rejected_because = because;
  if (!was_told_within_the_hour(world, series)) tell_rejected(world, value.sensor);
  end_no_silence(world, value.sensor);
}

// An absolute cell tells pressure above vacuum; the slot holds gauge pressure.
double as_gauge(World& world, const Sensor& sensor, double value, Instant at) {
  if (sensor.reads != PressureReads::absolute) return value;
  return value - EntityView(world, world.plan->slots[sensor.slot].entity).station_pressure_at(at).value;
}

// Air holds no more than 100 %: what a hygrometer shows beyond that is its error. Nobody needs to read "101 %".
double as_air_can_be(const World& world, std::uint32_t slot, double value) {
  const Slot& spec = world.plan->slots[slot];
  const bool humidity = world.entity(spec.entity).kind == &place_kind() &&
                        spec.index == static_cast<std::uint8_t>(PlaceQuantity::humidity);
  return humidity ? std::min(value, 1.0) : value;
}

// A station pressure far from what the altitude says is a weather report reduced to sea level: shown, not used.
void check_station_pressure(World& world, std::uint32_t slot) {
  const Slot& spec = world.plan->slots[slot];
  if (world.entity(spec.entity).kind != &place_kind() ||
      spec.index != static_cast<std::uint8_t>(PlaceQuantity::station_pressure)) {
    return;
  }
  if (!fits_altitude(world, world.board[slot].value)) {
    world.board.set_quality(slot, Quality::uncertain, reason_sea_level);
  }
}

// A retained number without a time of its own only fills an empty slot, uncertain; it ends no silence.
void accept_timeless_number(World& world, std::uint32_t slot, const Sensor& sensor, double value) {
  if (world.board[slot].has_value || world.series[slot].heard) return;
  world.board.set_reading(slot, value, sensor.plus_minus, world.now, false);
  world.board.set_quality(slot, Quality::uncertain, reason_retained);
}

// Beside a sensor that spoke then, what a person read is not what the gear is taken to have followed: sources do not
// mix.
void follow_hand(World& world, std::uint32_t slot, Instant at, double value) {
  if (!world.plan->slots[slot].type.is_numeric()) return;
  const Sample beside = sample_at(world, slot, at);
  if (!beside.known || beside.by_hand) world.series[slot].track.add({at, value, true});
}

// The trends of its gear take what changes no present state.
void tell_late(World& world, std::uint32_t slot, const LastReading& reading, bool by_hand) {
  const Slot& spec = world.plan->slots[slot];
  EntityView view(world, spec.entity);
  if (Model* model = world.models[spec.entity].get()) {
    model->late_reading(view, spec.index,
                        {reading.value, plus_minus_of(world, slot, by_hand), reading.at, true, by_hand});
  }
}

void accept_back_dated_hand(World& world, std::uint32_t slot, const LastReading& reading) {
  if (reading.at < world.now - limits::back_dated_reading) return;
  follow_hand(world, slot, reading.at, reading.value);
  tell_late(world, slot, reading, true);
}

// What a stuck sensor says is taken for no instant, neither now nor for what was read since it began to repeat.
void follow_number(World& world, std::uint32_t sensor, Instant at, double value) {
  SeriesState& series = world.series[world.plan->sensors[sensor].slot];
  const bool was_stuck = series.stuck;
  follow_repeats(world, sensor, at, value);
  if (!series.stuck) {
    series.track.add({at, value, false});
  } else if (!was_stuck) {
    series.track.forget_sensor_after(series.repeats_since);
  }
}

// In a shared jump, or stuck at that time: uncertain, and of that no trend takes anything.
bool is_doubted(const SeriesState& series, Instant at) {
  return series.jump == SeriesState::Jump::shared || (series.stuck && at > series.repeats_since);
}

// Of a sensor, to be told when the whole message is applied: beside a pressure comes its temperature.
struct LateReading {
  std::uint32_t slot = no_index;
  LastReading reading;
};

void accept_value(World& world, const SensorValue& arrived, bool retained, std::vector<LateReading>& late) {
  const Sensor& sensor = world.plan->sensors[arrived.sensor];
  const std::uint32_t slot = sensor.slot;
  SeriesState& series = world.series[slot];
  note_sensor_itself(world, arrived, retained);
  const bool numeric = world.plan->slots[slot].type.is_numeric();
  if (arrived.rejected_because != nullptr) {
    count_rejected(world, arrived, arrived.rejected_because);
    return;
  }
  const Instant at = std::min(arrived.at, world.now);  // up to 5 min ahead is taken as now
  const double value = as_gauge(world, sensor, arrived.value, at);
  if (retained && !arrived.own_time && numeric) {
    accept_timeless_number(world, slot, sensor, value);
    return;
  }
  if (series.sensor.present && arrived.at == series.stamped && value == series.sensor.value) return;  // a duplicate
  if (series.sensor.present && at < series.sensor.at) {
    if (at < world.now - limits::back_dated_reading) return count_rejected(world, arrived, "older than 14 d");
    if (numeric) series.track.add({at, value, false});
    if (!is_doubted(series, at)) late.push_back({slot, {at, value, true}});
    return;
  }
  if (numeric) follow_number(world, arrived.sensor, at, value);
  series.before = series.sensor;
  series.sensor = {at, value, true};
  series.stamped = arrived.at;
  series.heard = true;
  if (series.jump == SeriesState::Jump::none) series.held_until = Instant{};
  const bool still_stale = sensor.stale_after != Span::max() && at + sensor.stale_after <= world.now;
  if (still_stale) {
    end_no_silence(world, arrived.sensor);
    if (!is_doubted(series, at)) late.push_back({slot, series.sensor});
    return;  // it came too late to tell the present
  }
  end_silence(world, arrived.sensor);
  world.board.set_reading(slot, as_air_can_be(world, slot, value), sensor.plus_minus, at, false);
  world.judge(slot);
  check_station_pressure(world, slot);
  if (series.stuck) world.board.set_quality(slot, Quality::uncertain, reason_stuck);
  arm_sensor(world, arrived.sensor);
}

}  // namespace

void accept_message(World& world, const SensorMessage& message) {
  std::vector<LateReading> late;
  for (const SensorValue& value : message.values) accept_value(world, value, message.retained, late);
  for (const LateReading& l : late) tell_late(world, l.slot, l.reading, false);
}

void accept_hand_reading(World& world, std::uint32_t slot, double value, Instant at) {
  const Slot& spec = world.plan->slots[slot];
  SeriesState& series = world.series[slot];
  value = as_air_can_be(world, slot, value);
  if (series.hand.present && at == series.hand.at && value == series.hand.value) return;
  if (series.hand.present && at < series.hand.at) {
    accept_back_dated_hand(world, slot, {at, value, true});
    return;
  }
  series.hand = {at, value, true};
  confirm_by_hand(world, slot, value);
  const bool sensor_is_fresh =
      spec.sensor != no_index && series.sensor.present && world.board[slot].has_value && !world.board[slot].by_hand;
  if (sensor_is_fresh) {
    // For the hand trend; the current value stays the sensor's.
    accept_back_dated_hand(world, slot, {at, value, true});
    world.mark_entity(spec.entity);
    return;
  }
  follow_hand(world, slot, at, value);
  world.board.set_reading(slot, value, plus_minus_of(world, slot, true), at, true);
  world.judge(slot);
}

void judge_anew(World& world) {
  constexpr Span entered_within = one_day;  // in the evening, from a note
  for (const std::uint32_t touched : world.board.touched()) {
    for (const std::uint32_t e : world.wiring.models[touched]) {
      for (const std::uint32_t slot : world.wiring.judged[e]) {
        const SlotState& s = world.board[slot];
        if (!s.by_hand || slot == touched || !s.known() || s.expected.known()) continue;
        if (world.now - s.at > entered_within || world.board[touched].at - s.at > thermometer_follows) continue;
        const EntityView view(world, e);
        if (!world.models[e]->expected(view, world.plan->slots[slot].index, s.at, s.by_hand).known()) continue;
        world.judge(slot);
        world.mark_entity(e);  // now: later it would not know that the reading is to be judged
      }
    }
  }
}

void judge_readings(World& world) {
  for (const std::uint32_t slot : world.judged) {
    const Slot& spec = world.plan->slots[slot];
    const QuantitySpec& quantity = world.entity(spec.entity).kind->quantities[spec.index];
    if (!quantity.has_expected || world.models[spec.entity] == nullptr) continue;
    const EntityView view(world, spec.entity);
    const SlotState& s = world.board[slot];
    world.board.set_expected(slot, world.models[spec.entity]->expected(view, spec.index, s.at, s.by_hand));
  }
  judge_jumps(world);
}

std::vector<Expectation> expectations(const World& world, std::uint32_t entity) {
  const Entity& e = world.entity(entity);
  std::vector<Expectation> all(e.kind->quantities.size());
  const EntityView view = EntityView::to_ask(world, entity);
  for (std::uint8_t q = 0; q < all.size(); ++q) {
    const SlotState& s = world.board[e.quantity_slot(q)];
    if (world.models[entity] == nullptr || !e.kind->quantities[q].has_expected || !s.has_value) continue;
    all[q] = world.models[entity]->expected(view, q, s.at, s.by_hand);
  }
  return all;
}

void expect_anew(World& world, std::uint32_t entity, const std::vector<Expectation>& before) {
  const std::vector<Expectation> now = expectations(world, entity);
  for (std::uint8_t q = 0; q < now.size(); ++q) {
    if (now[q] == before[q]) continue;
    world.board.set_expected(world.entity(entity).quantity_slot(q), now[q]);
  }
}

void expect_hand_readings_anew(World& world) {
  for (std::uint32_t e = 0; e < world.entities.size(); ++e) {
    for (const std::uint32_t slot : world.wiring.judged[e]) {
      const SlotState& s = world.board[slot];
      if (!s.known() || !s.by_hand) continue;
      const EntityView view = EntityView::to_ask(world, e);
      const bool other_work = world.models[e]->is_told_of_other_work(view);
      const Expectation now = world.models[e]->expected(view, world.plan->slots[slot].index, s.at, true);
      if (other_work || (now.known() && !s.expected.known())) world.board.set_expected(slot, now);
    }
  }
}

void arm_sensor(World& world, std::uint32_t index) {
  const Sensor& sensor = world.plan->sensors[index];
  const SeriesState& series = world.series[sensor.slot];
  Instant next = std::min(silence_deadline(world, index), excuse_deadline(world, index));
  const SlotState& slot = world.board[sensor.slot];
  if (slot.has_value && !slot.by_hand && series.sensor.present && sensor.stale_after != Span::max()) {
    next = std::min(next, series.sensor.at + sensor.stale_after);
  }
  if (series.jump == SeriesState::Jump::held) next = std::min(next, series.held_until);
  if (series.rejected > 0) next = std::min(next, series.rejected_told + limits::rejections_told_every);
  world.timers.arm(world.sensor_timer(index), std::max(next, world.now));
}

void on_sensor_timer(World& world, std::uint32_t index) {
  const Sensor& sensor = world.plan->sensors[index];
  SeriesState& series = world.series[sensor.slot];
  if (series.jump == SeriesState::Jump::held && series.held_until <= world.now) release_held_jump(world, index);
  if (series.rejected > 0 && !was_told_within_the_hour(world, series)) tell_rejected(world, index);
  const SlotState& slot = world.board[sensor.slot];
  const bool from_sensor = slot.has_value && !slot.by_hand;
  if (from_sensor && series.sensor.present && sensor.stale_after != Span::max() &&
      series.sensor.at + sensor.stale_after <= world.now) {
    drop_held_jump(world, index);
    // An older hand reading is no news: what it said then was overtaken by the sensor.
    if (series.hand.present && series.hand.at > series.sensor.at) {
      const double plus_minus = plus_minus_of(world, sensor.slot, true);
      world.board.set_reading(sensor.slot, series.hand.value, plus_minus, series.hand.at, true);
      world.judge(sensor.slot);
    } else {
      world.board.set_unknown(sensor.slot, reason_silent);
    }
  }
  if (silence_deadline(world, index) <= world.now) fall_silent(world, index);
  arm_sensor(world, index);
}

}  // namespace overwinter
