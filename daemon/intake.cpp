#include "daemon/intake.h"

#include <algorithm>
#include <utility>

#include "daemon/json_parser.h"
#include "daemon/sensor_value.h"
#include "rules/limits.h"

namespace overwinter {
namespace {

constexpr std::size_t most_members = 64;  // the largest command has eight

// What no payload may be, whatever it is for.
const char* unfit(std::string_view payload) {
  if (payload.size() > limits::payload_bytes) return "the payload is larger than 64 KiB";
  if (trimmed(payload).empty()) return "the payload is empty";
  if (!simdjson::validate_utf8(payload.data(), payload.size())) return "the payload is not UTF-8";
  return nullptr;
}

bool looks_inside(const Sensor& sensor) {
  return sensor.has_pointer || !sensor.battery_pointer.empty() || !sensor.link_pointer.empty();
}

// False: no member of a command.
bool take_member(const simdjson::dom::key_value_pair& pair, std::vector<CommandMember>& into) {
  using simdjson::dom::element_type;
  CommandMember member;
  member.key = pair.key;
  switch (pair.value.type()) {
    case element_type::STRING:
      member.value = std::string(pair.value.get_string().value_unsafe());
      break;
    case element_type::BOOL:
      member.value = pair.value.get_bool().value_unsafe();
      break;
    case element_type::INT64:
    case element_type::UINT64:
    case element_type::DOUBLE:
      member.value = pair.value.get_double().value_unsafe();
      break;
    case element_type::ARRAY:
    case element_type::OBJECT:
    case element_type::NULL_VALUE:
      return false;
  }
  into.push_back(std::move(member));
  return true;
}

}  // namespace

struct Intake::Parser : JsonParser {
  Parser() : JsonParser(limits::payload_bytes, limits::json_depth) {}
};

Intake::Intake(std::shared_ptr<const Plan> plan)
    : plan_(std::move(plan)), command_prefix_(plan_->topic_root + "/do/"), parser_(std::make_unique<Parser>()) {
  for (std::uint32_t i = 0; i < plan_->sensors.size(); ++i) {
    auto& sensors = sensors_by_topic_[plan_->sensors[i].topic];
    if (sensors.empty()) sensor_topics_.push_back(plan_->sensors[i].topic);
    sensors.push_back(i);
  }
}

Intake::~Intake() = default;
Intake::Intake(Intake&&) noexcept = default;
Intake& Intake::operator=(Intake&&) noexcept = default;

const Input* Intake::decode(Instant received, std::string_view topic, std::string_view payload, bool retained) {
  input_.at = received;
  if (const auto found = sensors_by_topic_.find(topic); found != sensors_by_topic_.end()) {
    auto* message = std::get_if<SensorMessage>(&input_.what);
    if (message == nullptr) message = &input_.what.emplace<SensorMessage>();
    message->retained = retained;
    decode_sensors(found->second, received, payload, *message);
    return &input_;
  }
  // "do/#" brings "do" too (MQTT 5.0, 4.7.1.2): a command without a name, which is refused as others are.
  const std::string_view level(command_prefix_.data(), command_prefix_.size() - 1);
  if (topic == level || topic.starts_with(command_prefix_)) {
    if (retained && payload.empty()) return nullptr;  // MQTT 5.0, 3.3.1.3: it takes a retained one away
    input_.what = decode_command(topic.substr(std::min(topic.size(), command_prefix_.size())), payload, retained);
    return &input_;
  }
  return nullptr;
}

void Intake::decode_sensors(const std::vector<std::uint32_t>& sensors, Instant received, std::string_view payload,
                            SensorMessage& into) {
  into.values.clear();
  const char* unfit_because = unfit(payload);
  SensorPayload read{payload, nullptr, nullptr};
  simdjson::dom::element root;
  bool parsed = false;
  for (const std::uint32_t sensor : sensors) {
    if (unfit_because != nullptr) {
      into.values.push_back({sensor, 0, received, false, unfit_because});
      continue;
    }
    if (looks_inside(plan_->sensors[sensor]) && !parsed) {  // once a message, and only if someone looks inside
      parsed = true;
      read.no_json = parser_->parse(payload, root);
      if (read.no_json == nullptr) read.root = &root;
    }
    into.values.push_back(read_sensor_value(*plan_, sensor, received, read));
  }
}

CommandMessage Intake::decode_command(std::string_view command, std::string_view payload, bool retained) {
  CommandMessage message;
  message.command = command.substr(0, limits::id_characters);  // no command is longer; answers and state keep the name
  message.retained = retained;
  // Of a command that is none the id is kept: its answer goes to who waits for it.
  const auto unreadable = [&](std::string why) {
    std::erase_if(message.members, [](const CommandMember& member) { return member.key != "id"; });
    message.unreadable = std::move(why);
    return message;
  };
  if (const char* why = unfit(payload)) return unreadable(why);
  simdjson::dom::element root;
  if (const char* why = parser_->parse(payload, root)) return unreadable(why);
  simdjson::dom::object object;
  if (root.get_object().get(object) != simdjson::SUCCESS) return unreadable("the payload is not a JSON object");
  std::string wrong;
  for (const simdjson::dom::key_value_pair pair : object) {
    if (message.members.size() == most_members) return unreadable("the payload has more than 64 members");
    if (!take_member(pair, message.members) && wrong.empty()) {
      wrong =
          "'" + std::string(pair.key.substr(0, limits::id_characters)) + "' is neither text, number nor true or false";
    }
  }
  return wrong.empty() ? message : unreadable(std::move(wrong));
}

}  // namespace overwinter
