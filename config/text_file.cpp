#include "config/text_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "rules/language/source.h"
#include "rules/limits.h"

namespace overwinter {
namespace {

// The length of the UTF-8 sequence at `at`, or 0 when it is broken (RFC 3629: no overlong forms, no surrogates).
std::size_t sequence_length(std::string_view text, std::size_t at) {
  const auto byte = [&](std::size_t i) { return i < text.size() ? static_cast<unsigned char>(text[i]) : 0U; };
  const auto continues = [&](std::size_t i) { return (byte(i) & 0xC0U) == 0x80U; };
  const unsigned first = byte(at);
  if (first < 0x80) return 1;
  if (first >= 0xC2 && first <= 0xDF) return continues(at + 1) ? 2 : 0;
  if (first >= 0xE0 && first <= 0xEF) {
    const unsigned second = byte(at + 1);
    if (first == 0xE0 && second < 0xA0) return 0;
    if (first == 0xED && second > 0x9F) return 0;
    return continues(at + 1) && continues(at + 2) ? 3 : 0;
  }
  if (first >= 0xF0 && first <= 0xF4) {
    const unsigned second = byte(at + 1);
    if (first == 0xF0 && second < 0x90) return 0;
    if (first == 0xF4 && second > 0x8F) return 0;
    return continues(at + 1) && continues(at + 2) && continues(at + 3) ? 4 : 0;
  }
  return 0;
}

// A control character that YAML 1.2 does not allow, or that only hides what a line says.
bool is_forbidden(std::string_view text, std::size_t at) {
  const auto c = static_cast<unsigned char>(text[at]);
  if (c == '\n' || c == '\t') return false;
  if (c == '\r') return at + 1 >= text.size() || text[at + 1] != '\n';
  if (c < 0x20 || c == 0x7F) return true;
  return c == 0xC2 && static_cast<unsigned char>(text[at + 1]) < 0xA0;  // U+0080..U+009F
}

Faults one_fault(const TextFile& file, std::size_t at, std::string text, std::string hint) {
  return {Fault{file.place(at, at + 1), std::move(text), std::move(hint), Severity::error}};
}

}  // namespace

TextFile::TextFile(std::string file_name, std::string file_text)
    : name(std::move(file_name)), text(std::move(file_text)) {
  if (text.starts_with("\xEF\xBB\xBF")) text.erase(0, 3);
  line_starts.push_back(0);
  // A text that is refused for its size needs no lines.
  if (text.size() > limits::yaml_bytes) return;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] == '\n') line_starts.push_back(i + 1);
  }
}

std::string_view TextFile::line(std::uint32_t number) const {
  if (number == 0 || number > line_starts.size()) return {};
  const std::size_t begin = line_starts[number - 1];
  const std::size_t end = number < line_starts.size() ? line_starts[number] : text.size();
  std::string_view view = std::string_view(text).substr(begin, std::min(end - begin, max_line_length));
  view = view.substr(0, view.find('\n'));  // also of a text that was refused for its size, not cut into lines
  while (view.ends_with('\r')) view.remove_suffix(1);
  return view;
}

std::uint32_t TextFile::line_at(std::size_t offset) const {
  const auto after = std::upper_bound(line_starts.begin(), line_starts.end(), offset);
  return static_cast<std::uint32_t>(after - line_starts.begin());
}

Place TextFile::place(std::size_t begin, std::size_t end) const {
  Place place;
  place.file = name;
  place.line = line_at(begin);
  const std::string_view whole = line(place.line);
  const std::size_t start = line_starts[place.line - 1];
  const std::size_t from = std::min(begin - start, whole.size());
  const std::size_t to = std::clamp(end - start, from, whole.size());
  place.column = 1 + count_code_points(whole.substr(0, from));
  place.length = std::max<std::uint32_t>(1, count_code_points(whole.substr(from, to - from)));
  return place;
}

std::size_t TextFile::offset(std::size_t line_number, std::size_t column) const {
  if (line_number >= line_starts.size()) return text.size();
  return std::min(line_starts[line_number] + column, text.size());
}

Faults check_text(const TextFile& file) {
  const std::string_view text = file.text;
  if (text.size() > limits::yaml_bytes) {
    return one_fault(file, 0,
                     fmt::format("the file has {} bytes; at most {} (1 MiB) are read", text.size(), limits::yaml_bytes),
                     "split it: include: [FILE, ...] merges maps");
  }
  std::size_t line_start = 0;
  for (std::size_t i = 0; i < text.size();) {
    const std::size_t length = sequence_length(text, i);
    if (length == 0) {
      return one_fault(file, i, "this is not UTF-8", "save the file as UTF-8 text");
    }
    if (is_forbidden(text, i)) {
      return one_fault(file, i, fmt::format("a control character (byte 0x{:02X})", static_cast<unsigned char>(text[i])),
                       "remove it");
    }
    if (text[i] == '\n') {
      line_start = i + 1;
    } else if (i - line_start > max_line_length) {
      return one_fault(file, line_start, fmt::format("this line is longer than {} bytes", max_line_length),
                       "break it into several lines");
    }
    i += length;
  }
  return {};
}

}  // namespace overwinter
