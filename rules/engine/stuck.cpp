#include "rules/engine/stuck.h"

#include <algorithm>
#include <cmath>

#include "rules/gear/place.h"

namespace overwinter {
namespace {

constexpr Span repeats_for = one_day;
constexpr std::uint32_t least_repeats = 24;
constexpr double resting_at_ice = 0.3;  // K around 0 degC

struct Guide {
  double value = 0;
  bool expected = false;
};

// What the value ought to move with: what the reading before was expected to be, else the same quantity outdoors.
std::optional<Guide> reference_of(const World& world, std::uint32_t slot) {
  const Slot& spec = world.plan->slots[slot];
  const Entity& entity = world.entity(spec.entity);
  if (entity.kind->quantities[spec.index].has_expected && world.board[slot].expected.known()) {
    return Guide{world.board[slot].expected.value, true};
  }
  if (world.plan->outdoors == no_index || spec.entity == world.plan->outdoors) return std::nullopt;
  const std::uint32_t other = world.plan->find_slot(world.plan->outdoors, entity.kind->quantities[spec.index].name);
  if (other == no_index || world.plan->slots[other].sensor == no_index) return std::nullopt;
  if (!(world.plan->slots[other].type == spec.type) || !world.board[other].known()) return std::nullopt;
  return Guide{world.board[other].value, false};
}

// How far the reference must have moved. The share of humidity is 3 %; other numbers: 5 steps of their own, at least
// their sensor's plus_minus where 1 K means nothing.
double enough(const World& world, std::uint32_t slot, const SeriesState& series) {
  const Type& type = world.plan->slots[slot].type;
  const double steps = 5 * series.step;
  if (type.sort == Sort::temperature) return std::max(1.0, steps);
  if (type.sort == Sort::number && type.dimension == dimension::none) return std::max(0.03, steps);
  return std::max(world.plan->sensors[world.plan->slots[slot].sensor].plus_minus, steps);
}

void begin_reference(SeriesState& series, const std::optional<Guide>& reference) {
  series.reference_known = reference.has_value();
  series.reference_expected = reference && reference->expected;
  series.reference_low = series.reference_high = reference ? reference->value : 0;
}

void begin(SeriesState& series, Instant at, const std::optional<Guide>& reference) {
  series.repeats = 1;
  series.repeats_since = at;
  begin_reference(series, reference);
}

}  // namespace

void settle_stuck(World& world, std::uint32_t entity) {
  bool any = false;
  for (const std::uint32_t sensor : world.wiring.entity_sensors[entity]) {
    any = any || world.series[world.plan->sensors[sensor].slot].stuck;
  }
  world.board.set_computed(world.entity(entity).watch_slot(static_cast<std::uint8_t>(Watch::sensor_is_stuck)),
                           any ? 1 : 0, 0);
}

void follow_repeats(World& world, std::uint32_t sensor, Instant at, double value) {
  const std::uint32_t slot = world.plan->sensors[sensor].slot;
  SeriesState& series = world.series[slot];
  const std::optional<Guide> reference = reference_of(world, slot);
  if (!series.sensor.present || value != series.sensor.value) {
    if (series.sensor.present) {
      const double moved = std::abs(value - series.sensor.value);
      if (series.step == 0 || moved < series.step) series.step = moved;
    }
    begin(series, at, reference);
    if (series.stuck) {
      series.stuck = false;
      settle_stuck(world, world.plan->slots[slot].entity);
    }
    return;
  }
  ++series.repeats;
  // Between the one and the other lies a difference that is no movement.
  if (reference && (!series.reference_known || series.reference_expected != reference->expected)) {
    begin_reference(series, reference);
  } else if (reference) {
    series.reference_low = std::min(series.reference_low, reference->value);
    series.reference_high = std::max(series.reference_high, reference->value);
  }
  if (series.stuck || !series.reference_known) return;
  const Type& type = world.plan->slots[slot].type;
  if (type.sort == Sort::temperature && std::abs(value) <= resting_at_ice) return;
  if (series.repeats < least_repeats || at - series.repeats_since < repeats_for) return;
  // What is expected must have moved by more than it is unsure of: while it is being learned it drifts by itself.
  const double unsure = series.reference_expected ? world.board[slot].expected.plus_minus : 0;
  if (series.reference_high - series.reference_low <= std::max(enough(world, slot, series), unsure)) return;
  series.stuck = true;
  settle_stuck(world, world.plan->slots[slot].entity);
}

std::string describe_stuck(const World& world, std::uint32_t entity) {
  std::string text;
  for (const std::uint32_t sensor : world.wiring.entity_sensors[entity]) {
    const std::uint32_t slot = world.plan->sensors[sensor].slot;
    const SeriesState& series = world.series[slot];
    if (!series.stuck) continue;
    if (!text.empty()) text += "; ";
    const Slot& spec = world.plan->slots[slot];
    text += std::string(world.plan->slot_name(slot)) + " has read " +
            print_value(series.sensor.value, spec.type, spec.shown, world.plan->units, world.plan->zone, world.now) +
            " since " + print_date(series.repeats_since, world.plan->units, world.plan->zone, world.now);
  }
  return text;
}

}  // namespace overwinter
