#include "tests/winter/mailbag.h"

#include <algorithm>
#include <utility>

#include "daemon/json_text.h"

namespace overwinter {

void Mailbag::add(Instant at, std::string_view topic, std::string payload) {
  messages_.push_back({at, std::string(topic), std::move(payload)});
}

void Mailbag::command(Instant at, std::string_view command, std::string payload) {
  add(at, "overwinter/alder_bend/do/" + std::string(command), std::move(payload));
}

std::string Mailbag::lines() {
  std::stable_sort(messages_.begin(), messages_.end(), [](const Message& a, const Message& b) { return a.at < b.at; });
  std::string out;
  for (const Message& message : messages_) {
    JsonObject line(out);
    line.instant("at", message.at);
    line.text("topic", message.topic);
    line.text("payload", message.payload);
    line.end();
    out += '\n';
  }
  return out;
}

}  // namespace overwinter
