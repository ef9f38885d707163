// A broker, and the service on the demo site beside the bare client, for the benchmarks of what runs.
#pragma once

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <sstream>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include "daemon/json_lines.h"
#include "tests/bench/median.h"
#include "tests/broker/rig.h"
#include "tests/broker/wire.h"
#include "tests/places.h"
#include "tests/winter/alder_bend.h"

namespace overwinter::bench {

// The demo's site in the folder, at that broker.
inline std::string write_demo_site(const rig::Folder& folder, std::uint16_t port) {
  const std::filesystem::path from = places::repository() / "config/examples/alder-bend";
  folder.write("my-rules.yaml", rig::text_of(from / "my-rules.yaml"));
  std::string site = rig::text_of(from / "site.yaml");
  const std::string usual = "port: 1883";
  const std::size_t at = site.find(usual);
  if (at == std::string::npos) throw std::runtime_error("the demo's site names no port");
  return folder.write("site.yaml", site.replace(at, usual.size(), "port: " + std::to_string(port)));
}

inline std::vector<std::string> service_command(const rig::Folder& folder) {
  return {places::overwinterd(), "--journal", folder / "journal.sqlite", folder / "site.yaml"};
}

inline std::vector<std::string> bare_command(std::uint16_t port, const std::vector<std::string>& more) {
  std::vector<std::string> command{places::bare_client(), std::to_string(port)};
  command.insert(command.end(), more.begin(), more.end());
  return command;
}

// Seconds until `topic` says `part`, from now; throws after half a minute. Retained ones of before are passed over.
inline double seconds_until(rig::Wire& wire, const std::string& topic, std::string_view part) {
  const auto begin = std::chrono::steady_clock::now();
  for (;;) {
    const auto heard = wire.hear(rig::patience);
    if (!heard) throw std::runtime_error("nothing came on " + topic);
    if (heard->topic == topic && !heard->retained && heard->payload.find(part) != std::string::npos) {
      return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
    }
  }
}

struct Reading {
  std::string topic, payload;
};

// The sensors' messages of a few days of the demo's winter, without what a person does.
inline std::vector<Reading> demo_readings(int days) {
  std::istringstream in(alder_bend_winter({7, days, 10 * one_minute}));
  JsonLines lines(in);
  CapturedMessage m;
  std::vector<Reading> readings;
  while (lines.next(m) == JsonLines::Read::message) {
    if (m.topic.find("/do/") == std::string_view::npos) {
      readings.push_back({std::string(m.topic), std::string(m.payload)});
    }
  }
  return readings;
}

inline double resident_megabytes(const rig::Process& process) {
  return static_cast<double>(process.resident_kib()) / 1024;
}

// What was got beside the floor of the same run. aim: the most that the ratio may be; zero: there is none.
inline void tell_ratio(const char* what, double got, double floor, const char* unit, double aim) {
  const double ratio = floor > 0 ? got / floor : 0;
  fmt::print(stderr, "{:<56} {:8.3f} {:<2} floor {:8.3f} {:<2} ratio {:6.2f}", what, got, unit, floor, unit, ratio);
  if (aim > 0) fmt::print(stderr, "  aim {}: {}", aim, ratio <= aim ? "met" : "missed");
  fmt::print(stderr, "\n");
}

// aim: the most that it may be above the floor.
inline void tell_more(const char* what, double got, double floor, const char* unit, double aim) {
  fmt::print(stderr, "{:<56} {:8.3f} {:<2} floor {:8.3f} {:<2} ratio {:6.2f}  more by {:.1f} {}, aim {}: {}\n", what,
             got, unit, floor, unit, got / floor, got - floor, unit, aim, got - floor <= aim ? "met" : "missed");
}

}  // namespace overwinter::bench
