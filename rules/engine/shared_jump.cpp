#include "rules/engine/shared_jump.h"

#include <algorithm>
#include <cmath>

#include "rules/engine/readings.h"

namespace overwinter {
namespace {

constexpr Span together = 15 * one_minute;

using Jump = SeriesState::Jump;

std::uint32_t slot_of(const World& world, std::uint32_t sensor) { return world.plan->sensors[sensor].slot; }

double deviation(const SlotState& s) { return s.value - s.expected.value; }

// Who tells of a shared jump: the gateway that the sensor comes via, else the gear's place.
std::uint32_t teller(const World& world, std::uint32_t sensor) {
  const Sensor& spec = world.plan->sensors[sensor];
  return spec.via != no_index ? spec.via : world.entity(world.plan->slots[spec.slot].entity).place;
}

void settle_teller(World& world, std::uint32_t entity) {
  if (entity == no_index) return;
  bool any = false;
  for (const auto& group : world.wiring.jump_groups) {
    for (const std::uint32_t sensor : group) {
      any = any || (teller(world, sensor) == entity && world.series[slot_of(world, sensor)].jump == Jump::shared);
    }
  }
  world.board.set_computed(world.entity(entity).watch_slot(static_cast<std::uint8_t>(Watch::readings_jumped)),
                           any ? 1 : 0, 0);
}

void accept(World& world, std::uint32_t slot) {
  SeriesState& series = world.series[slot];
  series.jump = Jump::none;
  series.good_known = world.board[slot].expected.known();
  series.good_deviation = deviation(world.board[slot]);
}

void set_shared(World& world, std::uint32_t sensor) {
  const std::uint32_t slot = slot_of(world, sensor);
  world.series[slot].jump = Jump::shared;
  world.board.set_quality(slot, Quality::uncertain, reason_shared_jump);
  settle_teller(world, teller(world, sensor));
}

// What is known of the other members: a held or shared jump, a reading since that did not jump, or nothing yet.
struct Others {
  bool jumped = false, steady = false, pending = false;
};

Others look_at_others(const World& world, std::uint32_t sensor, Instant since) {
  Others others;
  for (const std::uint32_t other : world.wiring.jump_groups[world.wiring.jump_group_of[sensor]]) {
    if (world.plan->slots[slot_of(world, other)].entity == world.plan->slots[slot_of(world, sensor)].entity) continue;
    const SeriesState& series = world.series[slot_of(world, other)];
    if (!series.sensor.present || series.silent) continue;  // nobody to wait for
    if (series.jump != Jump::none) {
      others.jumped = true;
    } else if (series.sensor.at >= since) {
      others.steady = true;
    } else {
      others.pending = true;
    }
  }
  return others;
}

void hold(World& world, std::uint32_t sensor) {
  const std::uint32_t slot = slot_of(world, sensor);
  SeriesState& series = world.series[slot];
  if (series.jump != Jump::held) series.held_until = world.now + together;
  series.jump = Jump::held;
  world.board.set_quality(slot, Quality::uncertain, reason_held_jump);
  world.timers.arm(world.sensor_timer(sensor), series.held_until);
}

void share_held(World& world, std::uint32_t sensor) {
  for (const std::uint32_t other : world.wiring.jump_groups[world.wiring.jump_group_of[sensor]]) {
    if (world.series[slot_of(world, other)].jump == Jump::held) set_shared(world, other);
  }
}

// A member read steady: those who wait are alone after all.
void release_others(World& world, std::uint32_t sensor) {
  for (const std::uint32_t other : world.wiring.jump_groups[world.wiring.jump_group_of[sensor]]) {
    if (other != sensor) release_held_jump(world, other);
  }
}

}  // namespace

void judge_jump(World& world, std::uint32_t sensor) {
  const std::uint32_t slot = slot_of(world, sensor);
  SeriesState& series = world.series[slot];
  const SlotState& s = world.board[slot];
  if (world.wiring.jump_group_of[sensor] == no_index || !s.expected.known()) return;
  if (s.quality == Quality::uncertain && series.jump == Jump::none) return;  // uncertain for a reason of its own
  const double tolerance = std::max(s.expected.plus_minus, s.plus_minus);
  const bool jumps = series.good_known && std::abs(deviation(s) - series.good_deviation) > tolerance;
  if (!jumps) {
    const bool was_shared = series.jump == Jump::shared;
    accept(world, slot);
    world.board.set_quality(slot, Quality::good, nullptr);
    if (was_shared) settle_teller(world, teller(world, sensor));
    release_others(world, sensor);
    return;
  }
  if (series.jump == Jump::shared) {  // still away
    world.board.set_quality(slot, Quality::uncertain, reason_shared_jump);
    return;
  }
  const Instant since = series.jump == Jump::held ? series.held_until - together : world.now - together;
  const Others others = look_at_others(world, sensor, since);
  if (others.steady || (!others.jumped && !others.pending)) {
    accept(world, slot);  // alone: it is real
    return;
  }
  hold(world, sensor);
  if (others.jumped && !others.pending) share_held(world, sensor);
}

void release_held_jump(World& world, std::uint32_t sensor) {
  const std::uint32_t slot = slot_of(world, sensor);
  SeriesState& series = world.series[slot];
  if (series.jump != Jump::held) return;
  const Others others = look_at_others(world, sensor, series.held_until - together);
  if (others.jumped && !others.steady) {  // two or more, and all that arrived
    share_held(world, sensor);
    return;
  }
  accept(world, slot);
  world.board.set_quality(slot, Quality::good, nullptr);
  world.judge(slot);
}

void forget_jump(World& world, std::uint32_t sensor) {
  SeriesState& series = world.series[slot_of(world, sensor)];
  const bool was_shared = series.jump == Jump::shared;
  series.jump = Jump::none;
  series.good_known = false;
  if (was_shared) settle_teller(world, teller(world, sensor));
}

void confirm_by_person(World& world, std::uint32_t entity) {
  for (const std::uint32_t sensor : world.wiring.entity_sensors[entity]) {
    SeriesState& series = world.series[slot_of(world, sensor)];
    if (world.wiring.jump_group_of[sensor] == no_index) continue;
    const bool was = series.jump != Jump::none;
    accept(world, slot_of(world, sensor));
    series.good_known = false;  // the next reading sets what is good
    if (!was) continue;
    world.board.set_quality(slot_of(world, sensor), Quality::good, nullptr);
    settle_teller(world, teller(world, sensor));
  }
}

std::string describe_jump(const World& world, std::uint32_t entity) {
  std::string text;
  for (const auto& group : world.wiring.jump_groups) {
    for (const std::uint32_t sensor : group) {
      if (teller(world, sensor) != entity || world.series[slot_of(world, sensor)].jump != Jump::shared) continue;
      if (!text.empty()) text += ", ";
      text += world.entity(world.plan->slots[slot_of(world, sensor)].entity).name;
    }
  }
  return text;
}

}  // namespace overwinter
