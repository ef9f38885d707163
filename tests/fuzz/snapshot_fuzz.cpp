// Damaged snapshots: refused, or an engine that goes on. An even first byte: the rest is the snapshot. An odd one: the
// rest are edits of a sound snapshot, three bytes each (where, where, what), so that damage goes deep at once.
#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>
#include <string_view>

#include "config/site_file.h"
#include "rules/engine/engine.h"

namespace {

using namespace overwinter;

std::shared_ptr<const Plan> small_plan() {
  FilesInMemory files;
  files.files["site.yaml"] =
      "site: {id: x, local_time: UTC}\n"
      "season: {lay_up: 2026-10-31}\n"
      "places:\n"
      "  outdoors:\n"
      "    temperature: {topic: a, unit: degC}\n"
      "  cabin:\n"
      "    temperature: {topic: b, pointer: /t, unit: degC}\n"
      "    humidity: {topic: b, pointer: /rh, unit: \"%\"}\n"
      "  garage: {heated: true, set_temperature: 5 degC, temperature: {topic: f, unit: degC}}\n"
      "gear:\n"
      "  tire_one: {kind: tire, place: outdoors, minimum_pressure: 40 psi, filled: {pressure: 52 psi, temperature: 15 "
      "degC, date: 2026-10-24}, pressure: {topic: c, unit: kPa}}\n"
      "  cell: {kind: lead_acid_battery, place: cabin, capacity: 85 Ah, voltage: {topic: d, unit: V}, current: "
      "{topic: e, unit: A}}\n";
  LoadedSite site = load_site("site.yaml", files);
  if (!site.plan) __builtin_trap();
  return std::make_shared<const Plan>(*std::move(site.plan));
}

double value_of(std::string_view quantity, int hour) {
  if (quantity == "humidity") return 0.8;
  if (quantity == "pressure") return 320e3 - 500 * hour;
  if (quantity == "voltage") return 12.4;
  if (quantity == "current") return hour % 3 == 0 ? -2 : 0;
  return -8.0 + hour % 5;
}

// Two days of readings, so that every part of the state holds something.
std::string sound_snapshot(const std::shared_ptr<const Plan>& plan) {
  const Instant start = *parse_rfc3339("2026-12-01T08:00:00Z");
  Engine engine(plan, start);
  for (int hour = 0; hour < 48; ++hour) {
    const Instant at = start + hour * one_hour;
    SensorMessage message;
    for (std::uint32_t s = 0; s < plan->sensors.size(); ++s) {
      message.values.push_back({s, value_of(plan->slot_name(plan->sensors[s].slot), hour), at, false, nullptr});
    }
    engine.step({at, message});
  }
  return engine.snapshot();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  static const std::shared_ptr<const Plan> plan = small_plan();
  static const std::string sound = sound_snapshot(plan);
  if (size == 0) return 0;
  std::string bytes(reinterpret_cast<const char*>(data) + 1, size - 1);
  if ((data[0] & 1U) != 0) {
    bytes = sound;
    for (std::size_t i = 1; i + 2 < size; i += 3) {
      const std::size_t where = std::size_t{data[i]} * 256 + data[i + 1];
      bytes[where % bytes.size()] = static_cast<char>(data[i + 2]);
    }
  }
  auto engine = Engine::restore(plan, bytes);
  if (!engine) return 0;
  engine->step({engine->now(), Tick{}});
  SensorMessage message;
  message.values.push_back({0, -3, engine->now(), false, nullptr});
  engine->step({engine->now(), message});
  static_cast<void>(engine->snapshot());
  return 0;
}
