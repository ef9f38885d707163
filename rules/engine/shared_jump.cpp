#include "rules/engine/shared_jump.h"

#include <algorithm>
#include <cmath>

#include "rules/engine/readings.h"
#include "rules/limits.h"

namespace overwinter {
namespace {

using Jump = SeriesState::Jump;

std::uint32_t slot_of(const World& world, std::uint32_t sensor) { return world.plan->sensors[sensor].slot; }

double deviation(const SlotState& s) { return s.value - s.expected.value; }
double tolerance_of(const SlotState& s) { return std::max(s.expected.plus_minus, s.plus_minus); }

// Who tells of a shared jump: the gateway that the sensor comes via, else the gear's place.
std::uint32_t teller(const World& world, std::uint32_t sensor) {
  const Sensor& spec = world.plan->sensors[sensor];
  return spec.via != no_index ? spec.via : world.entity(world.plan->slots[spec.slot].entity).place;
}

void set_jump(World& world, std::uint32_t sensor, Jump jump) {
  SeriesState& series = world.series[slot_of(world, sensor)];
  if (series.jump == jump) return;
  series.jump = jump;
  std::vector<std::uint32_t>& jumped = world.jumped_sensors;
  const auto place = std::lower_bound(jumped.begin(), jumped.end(), sensor);
  const bool is_there = place != jumped.end() && *place == sensor;
  if (jump != Jump::none && !is_there) jumped.insert(place, sensor);
  if (jump == Jump::none && is_there) jumped.erase(place);
}

// Sensors of a group whose jump is held, or shared, in order.
std::vector<std::uint32_t> jumped_in(const World& world, std::uint32_t group, Jump jump) {
  std::vector<std::uint32_t> found;
  for (const std::uint32_t sensor : world.jumped_sensors) {
    const bool is_one = world.series[slot_of(world, sensor)].jump == jump;
    if (is_one && world.wiring.jump_group_of[sensor] == group) found.push_back(sensor);
  }
  return found;
}

void accept(World& world, std::uint32_t sensor) {
  const std::uint32_t slot = slot_of(world, sensor);
  SeriesState& series = world.series[slot];
  set_jump(world, sensor, Jump::none);
  series.good_known = world.board[slot].expected.known();
  series.good_deviation = deviation(world.board[slot]);
}

void set_shared(World& world, std::uint32_t sensor) {
  const std::uint32_t slot = slot_of(world, sensor);
  SeriesState& series = world.series[slot];
  series.shared_value = world.board[slot].value;
  series.shared_deviation = deviation(world.board[slot]);
  set_jump(world, sensor, Jump::shared);
  world.board.set_quality(slot, Quality::uncertain, reason_shared_jump);
  settle_jumped(world, teller(world, sensor));
}

// What is known of the other members: one that jumped within 15 min, a reading since that did not jump, or nothing yet.
struct Others {
  bool jumped = false, steady = false, pending = false;
};

// Its reading ended a silence: those that are silent still may come back with it.
bool comes_back(const World& world, std::uint32_t sensor) {
  const SeriesState& series = world.series[slot_of(world, sensor)];
  return series.before.present && series.sensor.at - series.before.at >= world.plan->sensors[sensor].stale_after;
}

Others look_at_others(const World& world, std::uint32_t sensor) {
  const Instant since = world.series[slot_of(world, sensor)].held_until - limits::shared_jump;
  const bool came_back = comes_back(world, sensor);
  Others others;
  for (const std::uint32_t other : world.wiring.jump_groups[world.wiring.jump_group_of[sensor]]) {
    if (world.plan->slots[slot_of(world, other)].entity == world.plan->slots[slot_of(world, sensor)].entity) continue;
    const SeriesState& series = world.series[slot_of(world, other)];
    if (!series.sensor.present || (series.silent && !came_back)) continue;  // nobody to wait for
    if (series.jump != Jump::none) {
      others.jumped = others.jumped || series.held_until >= since;
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
  if (series.jump != Jump::held) series.held_until = world.now + limits::shared_jump;
  set_jump(world, sensor, Jump::held);
  world.board.set_quality(slot, Quality::uncertain, reason_held_jump);
  arm_sensor(world, sensor);
}

void share_held(World& world, std::uint32_t sensor) {
  for (const std::uint32_t other : jumped_in(world, world.wiring.jump_group_of[sensor], Jump::held))
    set_shared(world, other);
}

void release(World& world, std::uint32_t sensor) {
  const std::uint32_t slot = slot_of(world, sensor);
  accept(world, sensor);
  world.board.set_quality(slot, Quality::good, nullptr);
  world.judge(slot);
}

// Its jump is over; a sensor that is silent has nothing that could count.
void let_count(World& world, std::uint32_t sensor) {
  const std::uint32_t slot = slot_of(world, sensor);
  if (world.board[slot].has_value && !world.series[slot].stuck) world.board.set_quality(slot, Quality::good, nullptr);
  settle_jumped(world, teller(world, sensor));
}

// A person has looked, or has changed what to expect: the next reading sets what is good.
void confirm(World& world, std::uint32_t sensor) {
  SeriesState& series = world.series[slot_of(world, sensor)];
  const bool was = series.jump != Jump::none;
  accept(world, sensor);
  series.good_known = false;
  if (was) let_count(world, sensor);
}

// Within tolerance of the last good one, away still, or a jump that is held until the others are known.
void judge_jump(World& world, std::uint32_t sensor) {
  const std::uint32_t slot = slot_of(world, sensor);
  SeriesState& series = world.series[slot];
  const SlotState& s = world.board[slot];
  if (world.wiring.jump_group_of[sensor] == no_index || !s.expected.known()) return;
  if (s.quality == Quality::uncertain && series.jump == Jump::none) return;  // uncertain for a reason of its own
  const double tolerance = tolerance_of(s);
  // What reads as it should is no lie, however odd the reading was that it is compared with.
  const bool jumps = series.good_known && std::abs(deviation(s) - series.good_deviation) > tolerance &&
                     std::abs(deviation(s)) > tolerance;
  if (jumps && series.jump == Jump::shared) {
    world.board.set_quality(slot, Quality::uncertain, reason_shared_jump);
  } else if (jumps) {
    hold(world, sensor);
  } else {
    const bool was_shared = series.jump == Jump::shared;
    accept(world, sensor);
    world.board.set_quality(slot, Quality::good, nullptr);
    if (was_shared) settle_jumped(world, teller(world, sensor));
  }
}

void settle_held(World& world, std::uint32_t group) {
  for (const std::uint32_t sensor : jumped_in(world, group, Jump::held)) {
    if (world.series[slot_of(world, sensor)].jump != Jump::held) continue;
    const Others others = look_at_others(world, sensor);
    if (others.steady || (!others.jumped && !others.pending)) {
      release(world, sensor);  // alone: it is real
    } else if (others.jumped && !others.pending) {
      share_held(world, sensor);
    }
  }
}

bool is_heard_in_a_shared_jump(const World& world, std::uint32_t sensor) {
  const SeriesState& series = world.series[slot_of(world, sensor)];
  const SlotState& s = world.board[slot_of(world, sensor)];
  return series.jump == Jump::shared && !series.silent && !series.stuck && s.has_value && !s.by_hand &&
         s.expected.known();
}

// What it did since the jump that it shares with the other, which was read since, the other did not do: neither as read
// (a radio that says nothing but zero moves nothing, whatever is expected) nor against what is expected (of which one
// moves more than the other in the weather).
bool moved_apart(const World& world, std::uint32_t sensor, std::uint32_t other) {
  const SeriesState& series = world.series[slot_of(world, sensor)];
  const SeriesState& its = world.series[slot_of(world, other)];
  if (!is_heard_in_a_shared_jump(world, other) || its.sensor.at < series.sensor.at) return false;
  const SlotState& s = world.board[slot_of(world, sensor)];
  const SlotState& o = world.board[slot_of(world, other)];
  const double as_read = (s.value - series.shared_value) - (o.value - its.shared_value);
  const double as_expected = (deviation(s) - series.shared_deviation) - (deviation(o) - its.shared_deviation);
  const double least = std::min(std::abs(as_read), std::abs(as_expected));
  return (as_read < 0) == (as_expected < 0) && least > std::max(tolerance_of(s), tolerance_of(o));
}

// Alone it went on, further from what it should read: that is its own, and no lie that it shares.
void settle_shared(World& world, std::uint32_t group) {
  const std::vector<std::uint32_t> shared = jumped_in(world, group, Jump::shared);
  for (const std::uint32_t sensor : shared) {
    if (!is_heard_in_a_shared_jump(world, sensor)) continue;
    const std::uint32_t slot = slot_of(world, sensor);
    if (std::abs(deviation(world.board[slot])) <= std::abs(world.series[slot].shared_deviation)) continue;
    const bool alone = std::ranges::any_of(shared, [&](std::uint32_t other) {
      return world.plan->slots[slot_of(world, other)].entity != world.plan->slots[slot].entity &&
             moved_apart(world, sensor, other);
    });
    if (!alone) continue;
    release(world, sensor);
    settle_jumped(world, teller(world, sensor));
  }
}

}  // namespace

void settle_jumped(World& world, std::uint32_t entity) {
  if (entity == no_index) return;
  const bool any = std::ranges::any_of(world.jumped_sensors, [&](std::uint32_t sensor) {
    return teller(world, sensor) == entity && world.series[slot_of(world, sensor)].jump == Jump::shared;
  });
  world.set_watch(entity, Watch::readings_jumped, any);
}

void judge_jumps(World& world) {
  const std::size_t arrived = world.judged.size();  // those released here are known already
  std::vector<std::uint32_t> groups;
  for (std::size_t i = 0; i < arrived; ++i) {
    const std::uint32_t slot = world.judged[i];
    const std::uint32_t sensor = world.plan->slots[slot].sensor;
    if (sensor == no_index || world.board[slot].by_hand) continue;
    const std::uint32_t group = world.wiring.jump_group_of[sensor];
    if (group == no_index) continue;
    judge_jump(world, sensor);
    if (world.jumped_sensors.empty()) continue;
    if (std::find(groups.begin(), groups.end(), group) == groups.end()) groups.push_back(group);
  }
  for (const std::uint32_t group : groups) {
    settle_held(world, group);
    settle_shared(world, group);
  }
}

void release_held_jump(World& world, std::uint32_t sensor) {
  if (world.series[slot_of(world, sensor)].jump != Jump::held) return;
  const Others others = look_at_others(world, sensor);
  if (others.jumped && !others.steady) {  // two or more, and all that arrived
    share_held(world, sensor);
  } else {
    release(world, sensor);
  }
}

void take_up_jumps(World& world) {
  world.jumped_sensors.clear();
  std::vector<std::uint32_t> alone;  // the others that they jumped with are gone
  for (std::uint32_t sensor = 0; sensor < world.plan->sensors.size(); ++sensor) {
    if (world.series[slot_of(world, sensor)].jump == Jump::none) continue;
    (world.wiring.jump_group_of[sensor] == no_index ? alone : world.jumped_sensors).push_back(sensor);
  }
  for (const std::uint32_t sensor : alone) {
    SeriesState& series = world.series[slot_of(world, sensor)];
    series.jump = Jump::none;
    series.good_known = false;
    let_count(world, sensor);
  }
}

Instant held_since(const World& world, std::uint32_t slot) {
  const SeriesState& series = world.series[slot];
  return series.jump == Jump::none && series.held_until != Instant{} ? series.held_until - limits::shared_jump
                                                                     : Instant{};
}

void drop_held_jump(World& world, std::uint32_t sensor) {
  if (world.series[slot_of(world, sensor)].jump == Jump::held) set_jump(world, sensor, Jump::none);
}

void confirm_by_act(World& world, std::uint32_t entity) {
  for (const std::uint32_t sensor : world.wiring.entity_sensors[entity]) {
    if (world.wiring.jump_group_of[sensor] != no_index) confirm(world, sensor);
  }
}

void confirm_by_hand(World& world, std::uint32_t slot, double value) {
  const std::uint32_t sensor = world.plan->slots[slot].sensor;
  if (sensor == no_index || world.series[slot].jump == Jump::none) return;
  const SlotState& s = world.board[slot];
  if (!s.has_value || s.by_hand || std::abs(value - s.value) > tolerance_of(s)) return;
  if (world.series[slot].jump == Jump::held) return confirm(world, sensor);
  for (const std::uint32_t other : world.wiring.jump_groups[world.wiring.jump_group_of[sensor]]) {
    if (world.series[slot_of(world, other)].jump == Jump::shared) confirm(world, other);
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
