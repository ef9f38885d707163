#include "rules/engine/stuck.h"

#include <algorithm>
#include <cmath>

#include "rules/gear/place.h"
#include "rules/limits.h"
#include "rules/quantity/in_words.h"

namespace overwinter {
namespace {

constexpr double resting_at_ice = 0.3;  // K around 0 degC
constexpr double saturated = 0.98;      // of humidity: in a soaked camper it rests there, and that is the fault
constexpr double flat = 3e3;            // Pa: a tire without air reads the same for ever
constexpr double too_unsure = 5;        // K; a room that was learned from a stuck thermometer says nothing any more

// What the value ought to move with: what the reading before was expected to be, and the same quantity outdoors.
void take_references(const World& world, std::uint32_t slot, SeriesState& series) {
  const Slot& spec = world.plan->slots[slot];
  const QuantitySpec& quantity = world.entity(spec.entity).kind->quantities[spec.index];
  const Expectation& expected = world.board[slot].expected;
  const bool says_much = spec.type.sort != Sort::temperature || expected.plus_minus <= too_unsure;
  if (quantity.has_expected && expected.known() && says_much) {
    series.expected_moved.take(expected.value, expected.plus_minus);
  }
  const std::uint32_t other = world.wiring.same_outdoors[spec.sensor];
  if (other != no_index && world.board[other].known()) series.outdoors_moved.take(world.board[other].value, 0);
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

// The outdoors' thermometer is the others' reference and has none: what stands in the weather would not grow colder
// without it. Only colder, for sun and heaters warm a tire and a camper while the outdoors rest; colder than ever in
// the first half day, for that has a night's or a morning's hours wherever it begins, and colder than the outdoors say,
// for a room that was warm comes down to them and no further. More than half of the others, and two at least, for one
// may be stuck or moved as well.
bool others_grew_colder(const World& world, const SeriesState& series, double least) {
  constexpr Span half_a_day = 12 * one_hour;
  constexpr Span remembered = 13 * one_day;  // of the 14 d of a track
  const Instant since = std::max(series.repeats_since, world.now - remembered);
  std::size_t known = 0, colder = 0;
  for (const std::uint32_t other : world.wiring.in_the_weather) {
    const Track& track = world.series[other].track;
    const auto first = track.lowest_between(since, since + half_a_day);
    const auto later = track.lowest_between(since + half_a_day, Instant::max());
    if (!first || !later) continue;
    ++known;
    if (*later < *first - least && *later < series.sensor.value) ++colder;
  }
  return known >= 2 && 2 * colder > known;
}

// One that moved is enough where nothing is known of the other. Both are asked where they are known: what is expected
// drifts while it is being learned, and a room may be slower than its outdoors.
bool references_moved(const World& world, std::uint32_t slot, const SeriesState& series) {
  const double least = enough(world, slot, series);
  const Slot& spec = world.plan->slots[slot];
  if (spec.entity == world.plan->outdoors && spec.type.sort == Sort::temperature) {
    return others_grew_colder(world, series, least);
  }
  const auto rests = [least](const Moved& moved) { return moved.known && !moved.by(least); };
  const bool any = series.expected_moved.known || series.outdoors_moved.known;
  return any && !rests(series.expected_moved) && !rests(series.outdoors_moved);
}

void begin(SeriesState& series, Instant at) {
  series.repeats = 1;
  series.repeats_since = at;
  series.expected_moved = series.outdoors_moved = Moved{};
}

}  // namespace

void settle_stuck(World& world, std::uint32_t entity) {
  bool any = false;
  for (const std::uint32_t sensor : world.wiring.entity_sensors[entity]) {
    any = any || world.series[world.plan->sensors[sensor].slot].stuck;
  }
  world.set_watch(entity, Watch::sensor_is_stuck, any);
}

void follow_repeats(World& world, std::uint32_t sensor, Instant at, double value) {
  const std::uint32_t slot = world.plan->sensors[sensor].slot;
  SeriesState& series = world.series[slot];
  if (!series.sensor.present || value != series.sensor.value) {
    if (series.sensor.present) {
      const double moved = std::abs(value - series.sensor.value);
      if (series.step == 0 || moved < series.step) series.step = moved;
    }
    begin(series, at);
    take_references(world, slot, series);
    if (series.stuck) {
      series.stuck = false;
      settle_stuck(world, world.plan->slots[slot].entity);
    }
    return;
  }
  ++series.repeats;
  take_references(world, slot, series);
  if (series.stuck) return;
  const Type& type = world.plan->slots[slot].type;
  if (type.sort == Sort::temperature && std::abs(value) <= resting_at_ice) return;
  if (type.sort == Sort::gauge && value <= flat) return;
  if (world.plan->slot_name(slot) == "humidity" && value >= saturated) return;
  if (series.repeats < limits::stuck_readings || at - series.repeats_since < limits::stuck_after) return;
  if (!references_moved(world, slot, series)) return;
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
    text += in_words(std::string(world.plan->slot_name(slot))) + " has read " +
            print_value(series.sensor.value, spec.type, spec.shown, world.plan->units, world.plan->zone, world.now) +
            " since " + print_date(series.repeats_since, world.plan->units, world.plan->zone, world.now);
  }
  return text;
}

}  // namespace overwinter
