// What a broker says for a while: its topics, how often they come, and what their payloads hold. Pure.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "rules/quantity/time.h"

namespace overwinter {

// One value of a payload: of a member of its JSON, or of a plain text.
struct HeardMember {
  enum class Is : std::uint8_t { number, boolean, text } is = Is::text;
  bool has_pointer = false;
  std::string pointer;  // RFC 6901; of a plain text: none
  std::uint64_t count = 0;
  double low = 0, high = 0;        // of numbers, also those inside a JSON string
  std::string last;                // as written, cut to 40 bytes, without control characters
  std::vector<std::string> words;  // of texts: the first six that differ
};

struct HeardTopic {
  std::uint64_t count = 0;
  bool retained = false;  // some of them came from the broker's memory
  Instant first{}, last{};
  std::vector<HeardMember> members;  // in the order in which they were seen first
  bool has_more = false;             // beyond the first 64
  bool unreadable = false;           // some payload was neither JSON nor a short text
};

class HeardTopics {
 public:
  void take(Instant at, const std::string& topic, std::string_view payload, bool retained);

  const std::map<std::string, HeardTopic>& topics() const { return topics_; }
  std::uint64_t messages() const { return messages_; }
  // Topics beyond the first 2000 are counted here and not kept.
  std::uint64_t left_out() const { return left_out_; }

 private:
  std::map<std::string, HeardTopic> topics_;
  std::uint64_t messages_ = 0, left_out_ = 0;
};

// May be subscribed to (MQTT 5.0, 4.7.1): # is the last level, and it and + stand alone in theirs.
bool is_topic_filter(std::string_view text);

}  // namespace overwinter
