#include "daemon/sensor_value.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <optional>
#include <string>

#include "daemon/json_parser.h"
#include "rules/limits.h"
#include "rules/quantity/characters.h"
#include "rules/quantity/unit.h"
#include "rules/quantity/yes_or_no.h"

namespace overwinter {
namespace {

using simdjson::dom::element;
using simdjson::dom::element_type;

constexpr double latest_year_2200 = 7'258'118'400.0;  // s since 1970; later ones are no times but wrong units

// A value as it stands in a payload.
struct Raw {
  enum class Is : std::uint8_t { nothing, text, number, boolean } is = Is::nothing;
  std::string_view text;
  double number = 0;
  bool boolean = false;
  const char* why_not = nullptr;
  bool is_there = true;
};

Raw no_value(const char* why, bool is_there = true) {
  Raw raw;
  raw.why_not = why;
  raw.is_there = is_there;
  return raw;
}

// Most pointers (RFC 6901) name a member of the payload itself, which is found without reading on in them.
simdjson::simdjson_result<element> find(const element& root, std::string_view pointer) {
  const bool one_plain_name = pointer.starts_with('/') && pointer.find_first_of("/~", 1) == std::string_view::npos;
  return one_plain_name && root.is_object() ? root.get_object().at_key(pointer.substr(1)) : root.at_pointer(pointer);
}

Raw raw_at(const element& root, std::string_view pointer, const char* not_there) {
  element found;
  if (find(root, pointer).get(found) != simdjson::SUCCESS) return no_value(not_there, false);
  Raw raw;
  switch (found.type()) {
    case element_type::STRING:
      raw.is = Raw::Is::text;
      raw.text = found.get_string().value_unsafe();
      return raw;
    case element_type::BOOL:
      raw.is = Raw::Is::boolean;
      raw.boolean = found.get_bool().value_unsafe();
      return raw;
    case element_type::INT64:
    case element_type::UINT64:
    case element_type::DOUBLE:
      raw.is = Raw::Is::number;
      raw.number = found.get_double().value_unsafe();
      return raw;
    case element_type::NULL_VALUE:
      return no_value("the value is null");
    case element_type::ARRAY:
      return no_value("the pointer leads to an array, not to a value");
    case element_type::OBJECT:
      return no_value("the pointer leads to an object, not to a value");
  }
  return no_value("the payload is not JSON");
}

bool looks_like_json(std::string_view text) {
  return !text.empty() && (text[0] == '{' || text[0] == '[' || text[0] == '"');
}

Raw raw_value(const Sensor& sensor, const SensorPayload& payload) {
  if (sensor.has_pointer) {
    if (payload.root == nullptr) return no_value(payload.no_json);
    return raw_at(*payload.root, sensor.pointer, "the payload has nothing where the pointer leads");
  }
  Raw raw;
  raw.is = Raw::Is::text;
  raw.text = trimmed(payload.text);
  if (looks_like_json(raw.text))
    return no_value("the payload looks like JSON; the sensor needs a `pointer` to the value");
  return raw;
}

// Words given in the site file are compared exactly; the usual ones in any case.
bool is_one_of(std::string_view text, const std::vector<std::string>& given, bool is_usual) {
  return given.empty() ? is_usual : std::ranges::find(given, text) != given.end();
}

const char* read_boolean(const Sensor& sensor, const Raw& raw, double& value) {
  std::array<char, 32> digits{};
  std::string_view text = raw.text;
  if (raw.is == Raw::Is::boolean) text = raw.boolean ? "true" : "false";
  if (raw.is == Raw::Is::number) {
    const double number = raw.number == 0 ? 0 : raw.number;  // no minus zero
    const auto end = std::to_chars(digits.data(), digits.data() + digits.size(), number).ptr;
    text = std::string_view(digits.data(), static_cast<std::size_t>(end - digits.data()));
  }
  // A word of the site file wins over a usual one of the other side: `yes_is: "off"` alone turns a switch around.
  const bool said_no = !sensor.no.empty() && is_one_of(text, sensor.no, says_no(text));
  if (!said_no && is_one_of(text, sensor.yes, says_yes(text))) {
    value = 1;
  } else if (is_one_of(text, sensor.no, says_no(text))) {
    value = 0;
  } else {
    return "the value is neither a word for yes nor one for no";
  }
  return nullptr;
}

const char* read_word(const Type& type, const Raw& raw, double& value) {
  if (raw.is != Raw::Is::text) return "the value is of the wrong type: a word is expected";
  for (std::size_t i = 0; i < type.words.size(); ++i) {
    if (!same_in_any_case(type.words[i], raw.text)) continue;
    value = static_cast<double>(i);
    return nullptr;
  }
  return "the value is none of the words that this quantity has";
}

const char* read_number(const Sensor& sensor, const Raw& raw, double& value) {
  double number = raw.number;
  if (raw.is == Raw::Is::boolean) return "the value is of the wrong type: a number is expected";
  if (raw.is == Raw::Is::text) {
    if (trimmed(raw.text).empty()) return "the value is empty";
    const auto in_text = number_in(raw.text);
    if (!in_text) return "the value is not a number";
    number = *in_text;
  }
  value = to_canonical(number * sensor.scale + sensor.offset, sensor.unit);
  if (!std::isfinite(value)) return "the value is not a finite number";
  if (value < sensor.minimum || value > sensor.maximum)
    return "the value is outside the range that is valid for the sensor";
  return nullptr;
}

const char* read_time(const Sensor& sensor, const SensorPayload& payload, SensorValue& into) {
  if (payload.root == nullptr) return payload.no_json;
  const Raw raw = raw_at(*payload.root, sensor.time_pointer, "the payload has no time where the time pointer leads");
  constexpr const char* no_time = "the payload's time cannot be read";
  if (raw.why_not != nullptr) return raw.is_there ? no_time : raw.why_not;
  std::optional<double> number;
  if (raw.is == Raw::Is::number) number = raw.number;
  if (raw.is == Raw::Is::text) {
    if (const auto at = parse_rfc3339(raw.text)) {
      into.at = *at;
      into.own_time = true;
      return nullptr;
    }
    number = number_in(raw.text);
  }
  if (!number) return no_time;
  if (!sensor.time_unit_seconds) return "the payload's time is a number; the sensor needs a `time_unit`";
  const double seconds = *number * *sensor.time_unit_seconds;
  if (!std::isfinite(seconds) || seconds < 0) return no_time;
  into.at = instant_from_seconds(std::min(seconds, latest_year_2200));
  into.own_time = true;
  return nullptr;
}

// A number of the sensor's own, such as the state of its cell, in the unit that it comes in; it decides nothing, so
// what is no number is passed over.
std::optional<double> read_own_number(const SensorPayload& payload, const std::string& pointer) {
  if (pointer.empty() || payload.root == nullptr) return std::nullopt;
  const Raw raw = raw_at(*payload.root, pointer, "");
  std::optional<double> number;
  if (raw.is == Raw::Is::number) number = raw.number;
  if (raw.is == Raw::Is::text) number = number_in(raw.text);
  return number && std::isfinite(*number) ? number : std::nullopt;
}

}  // namespace

SensorValue read_sensor_value(const Plan& plan, std::uint32_t index, Instant received, const SensorPayload& payload) {
  const Sensor& sensor = plan.sensors[index];
  const Type& type = plan.slots[sensor.slot].type;
  SensorValue answer;
  answer.sensor = index;
  answer.at = received;
  answer.battery = read_own_number(payload, sensor.battery_pointer);
  answer.link = read_own_number(payload, sensor.link_pointer);
  const Raw raw = raw_value(sensor, payload);
  answer.rejected_because = raw.why_not;
  if (raw.why_not == nullptr) {
    if (type.sort == Sort::boolean) {
      answer.rejected_because = read_boolean(sensor, raw, answer.value);
    } else if (type.sort == Sort::word) {
      answer.rejected_because = read_word(type, raw, answer.value);
    } else {
      answer.rejected_because = read_number(sensor, raw, answer.value);
    }
  }
  if (answer.rejected_because == nullptr && sensor.has_time_pointer) {
    answer.rejected_because = read_time(sensor, payload, answer);
  }
  if (answer.rejected_because == nullptr && answer.at > received + limits::ahead) {
    answer.rejected_because = "the payload's time lies in the future";
  }
  if (answer.rejected_because != nullptr) {
    answer.value = 0;
    answer.at = received;
    answer.own_time = false;
  }
  return answer;
}

}  // namespace overwinter
