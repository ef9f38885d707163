#include "daemon/json_lines.h"

#include <istream>

#include "daemon/json_parser.h"
#include "rules/limits.h"

namespace overwinter {
namespace {

constexpr std::size_t chunk_bytes = std::size_t{64} * 1024;
// A payload that is too large is the sensor's fault and is told as such, so its line must be read: 1 MiB whose every
// byte is written as \u00XX, with room to spare.
constexpr std::size_t longest_line = std::size_t{8} << 20;
constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";

// The members of a line, found in one pass over it; of several of one name the first.
struct Members {
  using Member = simdjson::simdjson_result<simdjson::dom::element>;
  Member at = simdjson::NO_SUCH_FIELD, topic = simdjson::NO_SUCH_FIELD, payload = simdjson::NO_SUCH_FIELD,
         retained = simdjson::NO_SUCH_FIELD;

  explicit Members(const simdjson::dom::object& object) {
    for (const auto& [key, value] : object) {
      Member* const member = named(key);
      if (member != nullptr && member->error() == simdjson::NO_SUCH_FIELD)
        *member = Member(simdjson::dom::element(value));
    }
  }

 private:
  Member* named(std::string_view key) {
    if (key == "at") return &at;
    if (key == "topic") return &topic;
    if (key == "payload") return &payload;
    if (key == "retained") return &retained;
    return nullptr;
  }
};

}  // namespace

struct JsonLines::Parser : JsonParser {
  Parser() : JsonParser(longest_line, limits::json_depth) {}
};

JsonLines::JsonLines(std::istream& in)
    : in_(in), parser_(std::make_unique<Parser>()), chunk_(chunk_bytes + simdjson::SIMDJSON_PADDING, '\0') {}
JsonLines::~JsonLines() = default;

bool JsonLines::next_line() {
  gathered_.clear();
  too_long_ = false;
  bool any = false;
  for (;;) {
    if (position_ == filled_) {
      in_.read(chunk_.data(), static_cast<std::streamsize>(chunk_bytes));
      filled_ = static_cast<std::size_t>(in_.gcount());
      position_ = 0;
      bytes_ += filled_;
      if (filled_ == 0) break;
    }
    any = true;
    const std::string_view rest = std::string_view(chunk_).substr(position_, filled_ - position_);
    const std::size_t end = rest.find('\n');
    const bool ends = end != std::string_view::npos;
    text_ = rest.substr(0, end);
    position_ += text_.size() + (ends ? 1 : 0);
    if (ends && gathered_.empty() && !too_long_) break;  // it stands in the chunk as a whole
    if (gathered_.size() + text_.size() > longest_line) {
      too_long_ = true;  // read on to its end, but keep none of it
    } else if (!too_long_) {
      gathered_ += text_;
    }
    text_ = gathered_;
    if (ends) break;
  }
  if (any) ++line_;
  return any;
}

JsonLines::Read JsonLines::next(CapturedMessage& message) {
  while (next_line()) {
    if (too_long_) {
      why_ = "the line is longer than 8 MiB";
      return Read::broken;
    }
    if (line_ == 1 && text_.starts_with(byte_order_mark)) text_.remove_prefix(byte_order_mark.size());
    if (!trimmed(text_).empty()) return parse(message);
  }
  return Read::end;
}

JsonLines::Read JsonLines::parse(CapturedMessage& message) {
  const auto broken = [&](std::string why) {
    why_ = std::move(why);
    return Read::broken;
  };
  simdjson::dom::element root;
  const bool in_chunk = gathered_.empty();
  if (const char* why = in_chunk ? parser_->parse_in_place(text_, root) : parser_->parse(text_, root)) {
    std::string told = why;
    if (told.starts_with("the payload")) told.replace(0, std::string_view("the payload").size(), "the line");
    return broken(std::move(told));
  }
  simdjson::dom::object object;
  if (root.get_object().get(object) != simdjson::SUCCESS) return broken("the line is not a JSON object");
  const Members members(object);
  std::string_view at;
  if (members.at.get(at) != simdjson::SUCCESS) return broken("`at` is missing or not text");
  const auto instant = parse_rfc3339(at);
  if (!instant) return broken("`at` is no time like 2026-12-01T08:00:00Z");
  if (members.topic.get(message.topic) != simdjson::SUCCESS) return broken("`topic` is missing or not text");
  if (members.payload.get(message.payload) != simdjson::SUCCESS) {
    return broken("`payload` is missing or not text; JSON goes in as text, with its quotes escaped");
  }
  message.at = *instant;
  message.retained = false;
  const bool is_said = members.retained.error() == simdjson::SUCCESS;
  if (is_said && members.retained.get(message.retained) != simdjson::SUCCESS) {
    return broken("`retained` is neither true nor false");
  }
  return Read::message;
}

}  // namespace overwinter
