// What others wrote, on its way to a screen or a log: a control character there can move the cursor, change colors or
// begin a line of its own. Control characters are those of ISO/IEC 6429: C0, DEL and C1.
#pragma once

#include <streambuf>
#include <string>
#include <string_view>

namespace overwinter {

// Control characters and bytes that are not UTF-8 become '?'.
std::string printable(std::string_view text);
// The same for text of several lines: line breaks stay.
std::string printable_lines(std::string_view text);

// Before the buffer of a stream for people: control characters become '?', but for line breaks and those in `kept`.
class PrintableBuffer final : public std::streambuf {
 public:
  explicit PrintableBuffer(std::streambuf& to, std::string_view kept = {});

 private:
  std::streamsize xsputn(const char* text, std::streamsize size) override;
  int_type overflow(int_type c) override;
  int sync() override;

  std::streambuf& to_;
  std::string kept_ = "\n";
  bool half_ = false;  // the last byte begins what may be a C1 character, and waits for the next
};

}  // namespace overwinter
