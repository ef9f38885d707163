#include "daemon/time_set_back.h"

#include <string>

namespace overwinter {

std::optional<JournaledInput> as_of(const JournaledInput& input, Instant as_of, std::string_view topic_root) {
  if (input.at <= as_of) return input;
  const std::string commands = std::string(topic_root) + "/do/";
  if (input.kind != JournaledInput::Kind::message || !input.topic.starts_with(commands)) return std::nullopt;
  JournaledInput said = input;
  said.at = as_of;
  return said;
}

}  // namespace overwinter
