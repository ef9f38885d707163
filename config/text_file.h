// The text of one file, its lines, and what is wrong with it before anyone parses it.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "rules/result.h"

namespace overwinter {

// Of every file that config reads; its size is limits::yaml_bytes.
inline constexpr std::size_t max_line_length = std::size_t{16} * 1024;  // bytes; the library is slow on longer ones

struct TextFile {
  std::string name;  // as faults show it
  std::string text;  // without a byte order mark
  std::vector<std::size_t> line_starts;

  TextFile(std::string file_name, std::string file_text);

  // Without the line break; 1-based; empty past the end.
  std::string_view line(std::uint32_t number) const;
  // The 1-based line that holds the byte.
  std::uint32_t line_at(std::size_t offset) const;
  // Line, column and length in code points of the bytes [begin, end), cut at the end of the line.
  Place place(std::size_t begin, std::size_t end) const;
  // Byte offset of a line and a column counted in bytes, both 0-based, clamped to the text.
  std::size_t offset(std::size_t line, std::size_t column) const;
};

// Size, UTF-8, control characters and length of lines: the first problem found, or none (an empty text).
// Nothing but a sound text may reach the YAML library.
Faults check_text(const TextFile& file);

}  // namespace overwinter
