// Writing JSON: what all our output is made of.
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "rules/quantity/time.h"

namespace overwinter {

// In quotes, control characters (C0, DEL and C1) escaped; `text` is UTF-8.
void append_json_text(std::string& out, std::string_view text);
// At most ten significant digits, and no more of them than it takes; the number must be finite.
void append_json_number(std::string& out, double value);
// RFC 3339, in quotes.
void append_json_instant(std::string& out, Instant at);

// The members of one object, in the order of the calls.
class JsonObject {
 public:
  explicit JsonObject(std::string& out) : out_(out) { out_ += '{'; }

  void text(std::string_view key, std::string_view value);
  void number(std::string_view key, double value);
  void count(std::string_view key, std::uint64_t value);
  void boolean(std::string_view key, bool value);
  void instant(std::string_view key, Instant value);
  // A list; left out when it is empty.
  void texts(std::string_view key, const std::vector<std::string>& values);
  // A list, also an empty one; write(out, item) appends one value.
  template <class List, class Write>
  void list(std::string_view key, const List& items, const Write& write) {
    this->key(key);
    char before = '[';
    for (const auto& item : items) {
      out_ += std::exchange(before, ',');
      write(out_, item);
    }
    out_ += before == '[' ? "[]" : "]";
  }
  // The key alone; the caller appends the value.
  void key(std::string_view key);
  void end() { out_ += '}'; }

 private:
  std::string& out_;
  bool first_ = true;
};

}  // namespace overwinter
