#include "daemon/heard_topics.h"

#include <algorithm>
#include <cmath>

#include "daemon/json_parser.h"
#include "daemon/json_text.h"
#include "daemon/printable.h"
#include "rules/limits.h"

namespace overwinter {
namespace {

using simdjson::dom::element;
using simdjson::dom::element_type;

constexpr std::size_t most_topics = 2000, most_heard_members = 64, most_words = 6;
constexpr std::size_t longest_shown = 40, longest_plain_text = 200;

std::string escaped(std::string_view key) {
  std::string out;
  for (const char c : key) {
    if (c == '~') {
      out += "~0";
    } else if (c == '/') {
      out += "~1";
    } else {
      out += c;
    }
  }
  return out;
}

class Payload {
 public:
  explicit Payload(HeardTopic& topic) : topic_(topic) {}

  void number(double value, std::string_view written) {
    HeardMember& m = member(HeardMember::Is::number);
    m.low = m.count == 1 ? value : std::min(m.low, value);
    m.high = m.count == 1 ? value : std::max(m.high, value);
    show(m, written);
  }
  void text(std::string_view written) {
    if (const auto value = number_in(written); value && std::isfinite(*value)) return number(*value, written);
    HeardMember& m = member(HeardMember::Is::text);
    const std::string word(written.substr(0, longest_shown));
    if (m.words.size() < most_words && std::ranges::find(m.words, word) == m.words.end()) m.words.push_back(word);
    show(m, written);
  }
  void boolean(bool value) { show(member(HeardMember::Is::boolean), value ? "true" : "false"); }

  void walk(const element& value) {
    switch (value.type()) {
      case element_type::STRING:
        return text(value.get_string().value_unsafe());
      case element_type::BOOL:
        return boolean(value.get_bool().value_unsafe());
      case element_type::INT64:
      case element_type::UINT64:
      case element_type::DOUBLE: {
        std::string written;
        append_json_number(written, value.get_double().value_unsafe());
        return number(value.get_double().value_unsafe(), written);
      }
      case element_type::OBJECT: {
        const simdjson::dom::object object = value.get_object().value_unsafe();
        for (const simdjson::dom::key_value_pair pair : object) below(escaped(pair.key), pair.value);
        return;
      }
      case element_type::ARRAY: {
        const simdjson::dom::array array = value.get_array().value_unsafe();
        std::size_t index = 0;
        for (const element item : array) below(std::to_string(index++), item);
        return;
      }
      case element_type::NULL_VALUE:
        return;
    }
  }
  void inside_json() { has_pointer_ = true; }

 private:
  void below(const std::string& segment, const element& value) {
    const std::size_t length = pointer_.size();
    pointer_ += "/" + segment;
    if (pointer_.size() <= limits::pointer_bytes) walk(value);
    pointer_.resize(length);
  }

  // Counted; a member that was of another sort before is what it is now.
  HeardMember& member(HeardMember::Is is) {
    auto found = std::ranges::find_if(
        topic_.members, [&](const HeardMember& m) { return m.has_pointer == has_pointer_ && m.pointer == pointer_; });
    if (found == topic_.members.end()) {
      if (topic_.members.size() == most_heard_members) {
        topic_.has_more = true;
        return beyond_ = HeardMember{};
      }
      topic_.members.push_back({});
      found = topic_.members.end() - 1;
      found->has_pointer = has_pointer_;
      found->pointer = pointer_;
    }
    if (found->is != is) found->count = 0;
    found->is = is;
    ++found->count;
    return *found;
  }
  static void show(HeardMember& m, std::string_view written) { m.last = printable(written.substr(0, longest_shown)); }

  HeardTopic& topic_;
  std::string pointer_;
  bool has_pointer_ = false;
  HeardMember beyond_;
};

}  // namespace

bool is_topic_filter(std::string_view text) {
  if (text.empty() || text.size() > limits::topic_bytes || text.find('\0') != std::string_view::npos) return false;
  for (std::size_t begin = 0; begin <= text.size();) {
    const std::size_t end = std::min(text.find('/', begin), text.size());
    const std::string_view level = text.substr(begin, end - begin);
    if (level.find_first_of("+#") != std::string_view::npos && level.size() > 1) return false;
    if (level == "#" && end != text.size()) return false;
    begin = end + 1;
  }
  return true;
}

void HeardTopics::take(Instant at, const std::string& name, std::string_view payload, bool retained) {
  ++messages_;
  if (!topics_.contains(name) && topics_.size() == most_topics) {
    ++left_out_;
    return;
  }
  HeardTopic& topic = topics_[name];
  if (topic.count++ == 0) topic.first = at;
  topic.last = at;
  topic.retained = topic.retained || retained;
  const std::string_view text = trimmed(payload);
  if (text.empty()) return;
  Payload reader(topic);
  if (text.front() == '{' || text.front() == '[' || text.front() == '"') {
    JsonParser parser(limits::payload_bytes, limits::json_depth);
    element root;
    if (parser.parse(payload, root) == nullptr) {
      reader.inside_json();
      reader.walk(root);
      return;
    }
    topic.unreadable = true;
    return;
  }
  if (text.size() > longest_plain_text || !simdjson::validate_utf8(text.data(), text.size())) {
    topic.unreadable = true;
    return;
  }
  reader.text(text);
}

}  // namespace overwinter
