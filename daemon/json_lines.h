// Reads captured messages, one JSON object a line: at, topic, payload (text), optional retained. Other members are
// passed over. The file is never held as a whole.
#pragma once

#include <cstdint>
#include <iosfwd>
#include <memory>
#include <string>
#include <string_view>

#include "rules/quantity/time.h"

namespace overwinter {

// Views are valid until the next line is read.
struct CapturedMessage {
  Instant at{};
  std::string_view topic, payload;
  bool retained = false;
};

class JsonLines {
 public:
  // The stream must outlive the reader.
  explicit JsonLines(std::istream& in);
  ~JsonLines();
  JsonLines(const JsonLines&) = delete;
  JsonLines& operator=(const JsonLines&) = delete;

  enum class Read : std::uint8_t { message, broken, end };
  // broken: why() says what is wrong with line line(); the next call goes on behind it. Blank lines are passed over.
  Read next(CapturedMessage& message);

  std::uint64_t line() const { return line_; }    // 1-based, of the last answer
  std::uint64_t bytes() const { return bytes_; }  // read so far
  const std::string& why() const { return why_; }

 private:
  bool next_line();
  Read parse(CapturedMessage& message);

  struct Parser;
  std::istream& in_;
  std::unique_ptr<Parser> parser_;
  std::string chunk_;
  std::string gathered_;   // a line that begins in one chunk and ends in another
  std::string_view text_;  // the line, in one of the two
  std::size_t position_ = 0, filled_ = 0;
  std::uint64_t line_ = 0, bytes_ = 0;
  bool too_long_ = false;
  std::string why_;
};

}  // namespace overwinter
