// Places in a text: byte offsets to columns of code points, and how a fault is drawn under its line.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "rules/result.h"

namespace overwinter {

// A stretch of a text, in bytes.
struct Extent {
  std::uint32_t begin = 0;
  std::uint32_t end = 0;

  bool operator==(const Extent&) const = default;
};

inline std::string_view slice(std::string_view text, Extent extent) {
  return text.substr(extent.begin, extent.end - extent.begin);
}

// Code points in UTF-8; in broken UTF-8, bytes that are no continuation.
std::uint32_t count_code_points(std::string_view text);

// Line 1, column and length in code points of `text`; the length is at least 1.
Place place_in(std::string_view text, Extent extent);

tl::unexpected<Fault> fault_at(std::string_view text, Extent extent, std::string message, std::string hint);

// "`text`", cut short when long: for messages that quote what was written.
std::string quote(std::string_view text);

// "file:line:col: error: text", the line (tabs and control characters as one space), a caret with ~ to the end of the
// span, and "hint: ..."; parts that the fault does not have are left out. No newline at the end.
std::string render_fault(const Fault& fault, std::string_view line);

}  // namespace overwinter
