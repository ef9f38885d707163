// From bytes to inputs: which sensors a message feeds, and the value of each in canonical units, or why there is none.
// Pure: no clock, no I/O. Whatever arrives is answered; nothing that it holds is believed beyond what is checked here.
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "rules/engine/input.h"
#include "rules/engine/plan.h"

namespace overwinter {

class Intake {
 public:
  explicit Intake(std::shared_ptr<const Plan> plan);
  ~Intake();
  Intake(Intake&&) noexcept;
  Intake& operator=(Intake&&) noexcept;

  // nullptr when no sensor is bound to the topic and it is no command; the input stands until the next call. A sensor
  // message holds one value for each bound sensor, in plan order. The cost does not depend on how many other topics
  // there are.
  const Input* decode(Instant received, std::string_view topic, std::string_view payload, bool retained);

  // To subscribe to; in plan order, without repeats.
  const std::vector<std::string>& sensor_topics() const { return sensor_topics_; }

 private:
  struct Hash {
    using is_transparent = void;
    std::size_t operator()(std::string_view text) const { return std::hash<std::string_view>{}(text); }
  };
  struct Parser;

  void decode_sensors(const std::vector<std::uint32_t>& sensors, Instant received, std::string_view payload,
                      SensorMessage& into);
  CommandMessage decode_command(std::string_view command, std::string_view payload, bool retained);

  std::shared_ptr<const Plan> plan_;
  std::string command_prefix_;  // "<topic_root>/do/"
  std::unordered_map<std::string, std::vector<std::uint32_t>, Hash, std::equal_to<>> sensors_by_topic_;
  std::vector<std::string> sensor_topics_;
  std::unique_ptr<Parser> parser_;
  Input input_;  // the last one: its memory is that of the next
};

}  // namespace overwinter
