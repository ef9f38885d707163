#include "rules/engine/sensor_itself.h"

#include <fmt/format.h>

#include <algorithm>

namespace overwinter {

void note_sensor_itself(World& world, const SensorValue& arrived, bool retained) {
  SeriesState& series = world.series[world.plan->sensors[arrived.sensor].slot];
  const Instant at = std::min(arrived.at, world.now);
  const auto note = [&](LastReading& last, const std::optional<double>& told) {
    if (!told || (last.present && (at < last.at || (retained && !arrived.own_time)))) return;
    last = {at, *told, true};
  };
  note(series.battery, arrived.battery);
  note(series.link, arrived.link);
}

std::string sensor_itself_in_words(const World& world, std::uint32_t slot) {
  const std::uint32_t index = world.plan->slots[slot].sensor;
  if (index == no_index) return {};
  const Sensor& sensor = world.plan->sensors[index];
  std::string text;
  const auto add = [&](std::string_view what, const LastReading& told, const std::string& unit) {
    if (!told.present) return;
    text += fmt::format("{}{} {:.4g}", text.empty() ? "" : ", ", what, told.value);
    if (!unit.empty() && unit != "1") text += ' ' + unit;
  };
  add("battery", world.series[slot].battery, sensor.battery_unit);
  add("link", world.series[slot].link, sensor.link_unit);
  return text;
}

Instant sensor_itself_told(const World& world, std::uint32_t slot) {
  const SeriesState& series = world.series[slot];
  return std::max(series.battery.at, series.link.at);
}

}  // namespace overwinter
