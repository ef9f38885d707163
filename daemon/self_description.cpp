#include "daemon/self_description.h"

#include <string>
#include <string_view>
#include <utility>

#include "daemon/json_text.h"
#include "rules/engine/described.h"

namespace overwinter {
namespace {

void escape(Placeholders& words) {
  for (auto& [key, value] : words) {
    std::string text;
    append_json_text(text, value);
    value = text.substr(1, text.size() - 2);
  }
}

// An object or a list; a text may begin with a placeholder.
bool holds_json(std::string_view text) {
  constexpr std::string_view blank = " \t\r\n";
  const std::size_t first = text.find_first_not_of(blank);
  if (first == std::string_view::npos || text[first] != '{')
    return first != std::string_view::npos && text[first] == '[';
  const std::size_t next = text.find_first_not_of(blank, first + 1);
  return next != std::string_view::npos && (text[next] == '"' || text[next] == '}');
}

}  // namespace

std::vector<Publication> self_description(const Plan& plan) {
  std::vector<Publication> out;
  if (plan.self_description.empty()) return out;
  const std::vector<RetainedTopic> topics = retained_topics(plan);
  for (const SelfDescription& description : plan.self_description) {
    const bool is_json = holds_json(description.message);
    for (const RetainedTopic& topic : topics) {
      if (!describes(plan, description, topic)) continue;
      Placeholders words = placeholders_of(plan, topic);
      std::string name = filled(description.topic, words);
      if (is_json) escape(words);
      out.push_back({std::move(name), filled(description.message, words), true, 1});
    }
  }
  return out;
}

}  // namespace overwinter
