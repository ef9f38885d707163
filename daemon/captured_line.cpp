#include "daemon/captured_line.h"

#include <simdjson.h>

#include "daemon/json_text.h"

namespace overwinter {
namespace {

// Bytes of the UTF-8 sequence at the start of the text; 0: there is none.
std::size_t sequence_length(std::string_view text) {
  for (std::size_t length = 1; length <= 4 && length <= text.size(); ++length) {
    if (simdjson::validate_utf8(text.data(), length)) return length;
  }
  return 0;
}

std::string repaired(std::string_view text) {
  std::string out;
  while (!text.empty()) {
    const std::size_t length = sequence_length(text);
    out += length == 0 ? std::string_view("\xEF\xBF\xBD") : text.substr(0, length);
    text.remove_prefix(length == 0 ? 1 : length);
  }
  return out;
}

}  // namespace

bool append_captured_line(std::string& out, const CapturedMessage& message) {
  const bool sound = simdjson::validate_utf8(message.payload.data(), message.payload.size());
  JsonObject object(out);
  object.instant("at", message.at);
  object.text("topic", message.topic);
  object.text("payload", sound ? std::string(message.payload) : repaired(message.payload));
  if (message.retained) object.boolean("retained", true);
  object.end();
  out += '\n';
  return sound;
}

}  // namespace overwinter
