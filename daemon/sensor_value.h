// One sensor's value out of one payload. Includes the JSON library: for .cpp files only.
#pragma once

#include <simdjson.h>

#include <string_view>

#include "rules/engine/input.h"
#include "rules/engine/plan.h"

namespace overwinter {

// `root`: the payload as JSON, or nullptr with `no_json` saying why; only looked at by a sensor with a pointer.
struct SensorPayload {
  std::string_view text;
  const simdjson::dom::element* root = nullptr;
  const char* no_json = nullptr;
};

SensorValue read_sensor_value(const Plan& plan, std::uint32_t sensor, Instant received, const SensorPayload& payload);

}  // namespace overwinter
