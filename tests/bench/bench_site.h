// Sites for the benchmarks, made in memory: copies of one camper, each with its own places and gear.
#pragma once

#include <benchmark/benchmark.h>
#include <time.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <map>
#include <memory>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "config/site_file.h"
#include "rules/engine/input.h"
#include "rules/engine/plan.h"

namespace overwinter::bench {

inline constexpr std::size_t sensors_a_copy = 10;

// The processor's time of this thread: what else runs on the machine does not count.
inline double seconds_now() {
  timespec now{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

// One copy: a camper (2 sensors), four tires (6 sensors: pressure and temperature, two by place), a battery, a door.
inline void add_copy(std::size_t copy, std::string& places, std::string& gear) {
  const std::string n = std::to_string(copy);
  places += "  camper_" + n + ":\n    temperature: {topic: c" + n + "/climate, pointer: /t, unit: degC}\n" +
            "    humidity: {topic: c" + n + "/climate, pointer: /rh, unit: \"%\"}\n";
  for (int t = 0; t < 4; ++t) {
    const std::string topic = "c" + n + "/tire" + std::to_string(t);
    gear += "  tire_" + n + "_" + std::to_string(t) + ":\n    kind: tire\n    place: outdoors\n" +
            "    minimum_pressure: 40 psi\n    filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}\n" +
            "    pressure: {topic: " + topic + ", pointer: /kpa, unit: kPa}\n";
    if (t < 2) gear += "    temperature: {topic: " + topic + ", pointer: /c, unit: degC}\n";
  }
  gear += "  battery_" + n + ":\n    kind: lead_acid_battery\n    place: camper_" + n + "\n    capacity: 85 Ah\n" +
          "    charged: {date: 2026-10-31}\n    voltage: {topic: c" + n + "/battery, unit: V}\n" + "  door_" + n +
          ":\n    kind: door_or_vent\n    place: camper_" + n + "\n    should_be: open\n" + "    open: {topic: c" + n +
          "/door}\n";
}

// Fifty copies a file: a file holds at most 1 MiB.
inline std::shared_ptr<const Plan> plan_of(std::size_t copies) {
  constexpr std::size_t copies_a_file = 50;
  FilesInMemory files;
  std::string include;
  for (std::size_t first = 0; first < copies; first += copies_a_file) {
    std::string places = "places:\n", gear = "gear:\n";
    for (std::size_t i = first; i < std::min(copies, first + copies_a_file); ++i) add_copy(i, places, gear);
    const std::string name = "copies_" + std::to_string(first) + ".yaml";
    files.files[name] = places + gear;
    include += (include.empty() ? "" : ", ") + name;
  }
  files.files["site.yaml"] = "include: [" + include +
                             "]\n"
                             "site: {id: bench, local_time: America/Winnipeg, altitude: 232 m}\n"
                             "season: {lay_up: 2026-10-31, return_to_service: 2027-04-20}\n"
                             "places:\n"
                             "  outdoors:\n"
                             "    temperature: {topic: yard/weather, pointer: /t, unit: degC}\n"
                             "    humidity: {topic: yard/weather, pointer: /rh, unit: \"%\"}\n";
  LoadedSite site = load_site("site.yaml", files);
  if (!site.sound()) {
    std::fputs(render_faults(site).substr(0, 4000).c_str(), stderr);
    std::exit(1);
  }
  return std::make_shared<const Plan>(std::move(*site.plan));
}

inline Instant start() { return *parse_rfc3339("2026-11-01T06:00:00Z"); }

// A plausible value for a sensor, a little different each time.
inline double value_of(const Plan& plan, std::uint32_t sensor, std::uint32_t minute) {
  const std::string_view name = plan.slot_name(plan.sensors[sensor].slot);
  const double wave = static_cast<double>((minute * 7 + sensor * 13) % 97) / 97.0;
  const double daily = static_cast<double>(minute % 1440) / 1440.0;
  const double swing = daily < 0.5 ? daily : 1 - daily;
  if (name == "temperature") return -8 + 8 * swing + 0.2 * wave;
  if (name == "humidity") return 0.78 - 0.1 * swing + 0.01 * wave;
  if (name == "pressure") return 318e3 + 14e3 * swing + 500 * wave;
  if (name == "voltage") return 12.6 + 0.01 * wave;
  return 1;
}

// The sensors of each topic, whose values come in one message.
inline std::vector<std::vector<std::uint32_t>> sensors_by_topic(const Plan& plan) {
  std::vector<std::vector<std::uint32_t>> topics;
  std::map<std::string_view, std::size_t> places;
  for (std::uint32_t s = 0; s < plan.sensors.size(); ++s) {
    const auto [place, is_new] = places.try_emplace(plan.sensors[s].topic, topics.size());
    if (is_new) topics.emplace_back();
    topics[place->second].push_back(s);
  }
  return topics;
}

inline Input message_of(const Plan& plan, const std::vector<std::uint32_t>& sensors, std::uint32_t minute, Instant at) {
  SensorMessage message;
  message.values.reserve(sensors.size());
  for (const std::uint32_t s : sensors) message.values.push_back({s, value_of(plan, s, minute), at, false, nullptr});
  return {at, std::move(message)};
}

// Prints a line that stands beside an aim; the numbers are Google Benchmark's counters too.
inline void tell(const char* what, double got, const char* unit, double aim) {
  std::fprintf(stderr, "%-70s %9.3f %-3s aim %.1f: %s\n", what, got, unit, aim, got <= aim ? "met" : "MISSED");
}

}  // namespace overwinter::bench
