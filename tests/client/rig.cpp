#include "tests/client/rig.h"
#include "tests/places.h"

#include <signal.h>

#include <atomic>
#include <stdexcept>

namespace overwinter {
namespace {

constexpr const char* site_text =
    R"(site: {id: alder_bend, name: Alder Bend, local_time: America/Winnipeg, altitude: 232 m, display_units: us}
places:
  outdoors:
    temperature: {topic: yard/weather, pointer: /temp_c, unit: degC}
  garage:
    temperature: {topic: garage/climate, pointer: /temperature, unit: degC}
gear:
  left_front_tire:
    kind: tire
    place: outdoors
    minimum_pressure: 40 psi
    filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}
    pressure: {topic: camper/tire/lf, pointer: /kpa, unit: kPa}
  right_front_tire:
    kind: tire
    place: outdoors
    filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}
    pressure: by_hand
  refrigerator_door: {kind: door_or_vent, place: garage, should_be: open, open: {topic: camper/fridge}}
rules_from: [standard, my-rules.yaml]
)";

constexpr const char* rules_text = R"(rules:
  door_shut:
    applies_to: {kind: door_or_vent}
    raise_when: not open
    on_delay: 0 s
    off_delay: 1 min
    priority: medium
    message: "{name} is shut."
)";

}  // namespace

Rig::Rig(const std::string& broker_keys, const std::string& host)
    : port_(rig::free_port()), plain_port_(rig::free_port()) {
  folder_.write("site.yaml", std::string(site_text) + "broker: {host: " + host + ", port: " + std::to_string(port_) +
                                 (broker_keys.empty() ? "" : ", ") + broker_keys + "}\n");
  folder_.write("my-rules.yaml", rules_text);
}

void Rig::start_broker(const rig::BrokerOptions& options) {
  rig::BrokerOptions ours = options;
  ours.port = port_;
  ours.per_listener = true;
  ours.more_lines =
      "log_type all\nlistener " + std::to_string(plain_port_) + " 127.0.0.1\nallow_anonymous true\n" + ours.more_lines;
  broker_ = std::make_unique<rig::Broker>(folder_, ours);
  broker_->start();
}

void Rig::start_service() {
  service_ = std::make_unique<rig::Process>(
      std::vector<std::string>{places::overwinterd(), "--journal", folder_ / "journal.sqlite", site()},
      folder_ / "service.log");
  // Commands come first of what it subscribes to at a start that must be over before a test goes on.
  if (!waits_for_subscription("camper/fridge", ++services_)) {
    throw std::runtime_error(rig::text_of(folder_ / "service.log"));
  }
}

void Rig::stop_service() {
  service_->signal(SIGTERM);
  service_->exit_code();
}

Ran Rig::overwinter(const std::vector<std::string>& arguments, const std::function<void(pid_t)>& meanwhile) const {
  static std::atomic<int> number = 0;
  const std::string name = "command" + std::to_string(++number);
  std::vector<std::string> words{places::overwinter()};
  words.insert(words.end(), arguments.begin(), arguments.end());
  words.insert(words.end(), {"--site", site()});
  rig::Process child(words, folder_ / (name + ".out"), {"USER=ada"}, folder_ / (name + ".err"));
  if (meanwhile) meanwhile(child.id());
  const int code = child.exit_code().value_or(-1);
  return {code, rig::text_of(folder_ / (name + ".out")), rig::text_of(folder_ / (name + ".err"))};
}

Ran Rig::overwinter(const std::vector<std::string>& arguments) const { return overwinter(arguments, {}); }

void Rig::publish(const std::string& topic, const std::string& payload) const {
  rig::Ear(plain_port_, "nothing").say(topic, payload);
}

bool Rig::waits_for_subscription(const std::string& topic, std::size_t count) const {
  return eventually([&] {
    const std::string log = rig::text_of(folder_ / "mosquitto.log"), line = "\t" + topic + " (QoS";
    std::size_t seen = 0;
    for (std::size_t at = log.find(line); at != std::string::npos; at = log.find(line, at + 1)) ++seen;
    return seen >= count;
  });
}

}  // namespace overwinter
