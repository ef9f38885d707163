#include "rules/engine/silence.h"

#include <algorithm>

#include "rules/engine/readings.h"
#include "rules/engine/season.h"
#include "rules/engine/sensor_itself.h"
#include "rules/limits.h"
#include "rules/quantity/in_words.h"

namespace overwinter {
namespace {

const SeriesState& series_of(const World& world, std::uint32_t sensor) {
  return world.series[world.plan->sensors[sensor].slot];
}

bool is_number(const World& world, std::uint32_t sensor) {
  return world.plan->slots[world.plan->sensors[sensor].slot].type.is_numeric();
}

// Yes and no fall silent where the site file gives them a stale_after; never heard, they are the digest's alone.
bool can_fall_silent(const World& world, std::uint32_t sensor) {
  const Sensor& s = world.plan->sensors[sensor];
  return s.missed && s.stale_after != Span::max() && (is_number(world, sensor) || series_of(world, sensor).heard);
}

std::uint32_t entity_of(const World& world, std::uint32_t sensor) {
  return world.plan->slots[world.plan->sensors[sensor].slot].entity;
}

void changed(std::vector<std::uint32_t>& list, std::uint32_t index) {
  if (index != no_index && std::find(list.begin(), list.end(), index) == list.end()) list.push_back(index);
}

// What the broker had kept of it shows that the topic is right, but not that the sensor lives.
const char* never_heard(const World& world, std::uint32_t sensor) {
  const SlotState& kept = world.board[world.plan->sensors[sensor].slot];
  return kept.has_value && !kept.by_hand ? "only what the broker had kept was heard; does it still send?"
                                         : "never heard; is the topic right?";
}

void tell_sensor(World& world, std::uint32_t sensor, EventKind kind) {
  const Sensor& spec = world.plan->sensors[sensor];
  const SeriesState& series = world.series[spec.slot];
  Event event;
  event.kind = kind;
  event.gear = world.entity(entity_of(world, sensor)).id;
  event.quantity = world.plan->slot_name(spec.slot);
  // What was heard before the silence, also when it has ended just now.
  const Instant last = kind == EventKind::sensor_back ? series.before.at : series.sensor.at;
  if (series.heard && last != Instant{}) event.last_at = last;
  if (kind == EventKind::sensor_silent && !series.heard) event.reason = never_heard(world, sensor);
  world.emit(EventGroup::sensor, sensor, std::move(event));
  changed(world.silence_changed, entity_of(world, sensor));
  changed(world.gateways_changed, spec.via);
}

struct GatewayCount {
  std::uint32_t can = 0, silent = 0, in_one_window = 0;
  std::uint32_t enough() const { return std::max(2U, (can + 1) / 2); }
};

GatewayCount count_silent(const World& world, std::uint32_t gateway) {
  GatewayCount count;
  std::vector<Instant> since;
  for (const std::uint32_t sensor : world.wiring.gateway_sensors[gateway]) {
    if (!can_fall_silent(world, sensor)) continue;
    ++count.can;
    if (series_of(world, sensor).silent) since.push_back(series_of(world, sensor).silent_since);
  }
  count.silent = static_cast<std::uint32_t>(since.size());
  std::sort(since.begin(), since.end());
  std::size_t first = 0;
  for (std::size_t last = 0; last < since.size(); ++last) {
    while (since[last] - since[first] > limits::shared_silence) ++first;
    count.in_one_window = std::max(count.in_one_window, static_cast<std::uint32_t>(last - first + 1));
  }
  return count;
}

bool spoke_since(const World& world, std::uint32_t gateway, Instant then) {
  return std::ranges::any_of(world.wiring.gateway_sensors[gateway], [&](std::uint32_t sensor) {
    const SeriesState& series = series_of(world, sensor);
    return series.heard && series.sensor.at > then;
  });
}

// One that fell silent itself raises nothing by what it said last, and ends nothing, until something comes through it.
bool says_offline(const World& world, std::uint32_t gateway) {
  const auto online = world.entity(gateway).kind->quantity("online");
  if (!online) return false;
  const SlotState& s = world.board[world.entity(gateway).quantity_slot(*online)];
  if (s.value != 0 || s.at == Instant{}) return false;
  return s.known() || (world.watch(gateway, Watch::gateway_is_silent) && !spoke_since(world, gateway, s.at));
}

// Whether an alarm of its own stands for the silence behind it, or would.
bool is_told(const World& world, std::uint32_t gateway) {
  if (world.entities[gateway].out_of_service()) return false;
  const std::uint32_t watch = world.entity(gateway).watch_slot(Watch::gateway_is_silent);
  return std::ranges::any_of(world.wiring.alarms[watch], [&](std::uint32_t alarm) {
    const AlarmSpec& spec = world.plan->alarms[alarm];
    return spec.entity == gateway && !out_of_season(world, world.plan->rules[spec.rule]);
  });
}

// One silent sensor of a gateway whose other sensors are about to follow: wait and see whether it is the gateway.
bool others_may_follow(const World& world, std::uint32_t sensor) {
  const std::uint32_t gateway = world.plan->sensors[sensor].via;
  const Instant since = series_of(world, sensor).silent_since;
  if (world.now >= since + limits::shared_silence) return false;
  std::uint32_t can = 0, follow = 0;
  for (const std::uint32_t other : world.wiring.gateway_sensors[gateway]) {
    if (!can_fall_silent(world, other)) continue;
    ++can;
    const SeriesState& series = series_of(world, other);
    const Instant falls = series.silent ? series.silent_since : silence_deadline(world, other);
    if (falls != never && falls >= since - limits::shared_silence && falls <= since + limits::shared_silence) ++follow;
  }
  return follow >= std::max(2U, (can + 1) / 2);
}

// Once its gateway is back a sensor has its time again; Instant{}: it never was away.
Instant expected_back(const World& world, std::uint32_t sensor) {
  const Sensor& spec = world.plan->sensors[sensor];
  const Instant back = world.entities[spec.via].gateway_back;
  return back == Instant{} ? back : back + spec.stale_after;
}

bool is_excused(const World& world, std::uint32_t sensor) {
  const std::uint32_t gateway = world.plan->sensors[sensor].via;
  if (gateway == no_index || !is_told(world, gateway)) return false;
  return world.watch(gateway, Watch::gateway_is_silent) || others_may_follow(world, sensor) ||
         world.now < expected_back(world, sensor);
}

void settle_gateway(World& world, std::uint32_t gateway) {
  const Entity& entity = world.entity(gateway);
  const bool was = world.watch(gateway, Watch::gateway_is_silent);
  const GatewayCount count = count_silent(world, gateway);
  const bool fell = count.in_one_window >= count.enough() || (was && count.silent >= count.enough());
  const bool is = says_offline(world, gateway) || fell;
  world.set_watch(gateway, Watch::gateway_is_silent, is);
  if (const auto number = entity.kind->quantity("silent_sensors")) {
    world.board.set_computed(entity.quantity_slot(*number), count.silent, 0);
  }
  if (was && !is) world.entities[gateway].gateway_back = world.now;
  if (was != is) explain_silence_anew(world, gateway);
}

void settle_entity(World& world, std::uint32_t index) {
  bool silent = false;
  for (const std::uint32_t sensor : world.wiring.entity_sensors[index]) {
    if (!series_of(world, sensor).silent) continue;
    if (!is_excused(world, sensor)) silent = true;
    arm_sensor(world, sensor);
  }
  world.set_watch(index, Watch::sensor_is_silent, silent);
}

}  // namespace

Instant silence_deadline(const World& world, std::uint32_t sensor) {
  const SeriesState& series = series_of(world, sensor);
  if (series.silent || !world.link_up || !can_fall_silent(world, sensor)) return never;
  Instant from = std::max({world.started, world.link_since, series.began});
  if (series.sensor.present) from = std::max(from, series.sensor.at);
  return from + world.plan->sensors[sensor].stale_after;
}

Instant excuse_deadline(const World& world, std::uint32_t sensor) {
  const SeriesState& series = series_of(world, sensor);
  if (!series.silent || world.plan->sensors[sensor].via == no_index) return never;
  Instant next = never;
  for (const Instant end : {series.silent_since + limits::shared_silence, expected_back(world, sensor)}) {
    if (end > world.now) next = std::min(next, end);
  }
  return next;
}

void watch_silence(World& world, std::uint32_t entity) {
  changed(world.silence_changed, entity);
  if (!world.wiring.gateway_sensors[entity].empty()) changed(world.gateways_changed, entity);
}

void explain_silence_anew(World& world, std::uint32_t gateway) {
  for (const std::uint32_t sensor : world.wiring.gateway_sensors[gateway]) {
    changed(world.silence_changed, entity_of(world, sensor));
  }
}

void fall_silent(World& world, std::uint32_t sensor) {
  SeriesState& series = world.series[world.plan->sensors[sensor].slot];
  series.silent = true;
  series.silent_since = world.now;
  tell_sensor(world, sensor, EventKind::sensor_silent);
}

void end_silence(World& world, std::uint32_t sensor) {
  SeriesState& series = world.series[world.plan->sensors[sensor].slot];
  if (!series.silent) return;
  series.silent = false;
  tell_sensor(world, sensor, EventKind::sensor_back);
}

void watch_gateways(World& world) {
  for (const std::uint32_t slot : world.judged) {
    const Slot& spec = world.plan->slots[slot];
    if (spec.type.sort == Sort::boolean && world.plan->slot_name(slot) == "online")
      changed(world.gateways_changed, spec.entity);
    const std::uint32_t via = spec.sensor == no_index ? no_index : world.plan->sensors[spec.sensor].via;
    if (via != no_index && world.watch(via, Watch::gateway_is_silent)) changed(world.gateways_changed, via);
  }
}

void settle_silence(World& world) {
  std::sort(world.gateways_changed.begin(), world.gateways_changed.end());
  for (const std::uint32_t gateway : world.gateways_changed) settle_gateway(world, gateway);
  world.gateways_changed.clear();
  std::sort(world.silence_changed.begin(), world.silence_changed.end());
  for (const std::uint32_t entity : world.silence_changed) settle_entity(world, entity);
  world.silence_changed.clear();
}

std::string describe_silence(const World& world, std::uint32_t entity) {
  std::string text;
  for (const std::uint32_t sensor : world.wiring.entity_sensors[entity]) {
    const SeriesState& series = series_of(world, sensor);
    if (!series.silent) continue;
    if (!text.empty()) text += ", ";
    text += in_words(std::string(world.plan->slot_name(world.plan->sensors[sensor].slot)));
    if (!is_number(world, sensor)) text += " or not";  // "open" alone would tell how a door stands
    if (series.heard) {
      const std::string itself = sensor_itself_in_words(world, world.plan->sensors[sensor].slot);
      text += " (last heard " + print_date(series.sensor.at, world.plan->units, world.plan->zone, world.now) +
              (itself.empty() ? ")" : "; " + itself + ")");
    } else {
      text += std::string(" (") + never_heard(world, sensor) + ")";
    }
  }
  return text;
}

std::string describe_gateway(const World& world, std::uint32_t entity) {
  const GatewayCount count = count_silent(world, entity);
  const std::string of_all = "of its " + std::to_string(count.can) + " sensors";
  const std::string silent = count.can == 1              ? "its sensor"
                             : count.silent == count.can ? "all " + of_all
                                                         : std::to_string(count.silent) + " " + of_all;
  if (!says_offline(world, entity)) return silent + " fell silent together";
  if (count.silent == 0) return "it reports itself offline";
  return "it reports itself offline, and " + silent + (count.silent == 1 ? " is silent" : " are silent");
}

}  // namespace overwinter
