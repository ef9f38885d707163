#include "daemon/json_text.h"

#include <fmt/format.h>

#include <array>
#include <charconv>
#include <iterator>

namespace overwinter {

void append_json_text(std::string& out, std::string_view text) {
  out += '"';
  std::size_t plain = 0;  // from here on nothing needed an escape, and goes in one piece
  for (std::size_t at = 0; at < text.size(); ++at) {
    const auto byte = static_cast<unsigned char>(text[at]);
    const bool is_c1 = byte >= 0x80 && byte < 0xA0 && at > plain && text[at - 1] == '\xC2';  // a terminal may obey it
    if (byte >= 0x20 && byte != '"' && byte != '\\' && byte != 0x7F && !is_c1) continue;
    out += text.substr(plain, at - plain - (is_c1 ? 1 : 0));
    plain = at + 1;
    switch (byte) {
      case '"':
        out += "\\\"";
        break;
      case '\\':
        out += "\\\\";
        break;
      case '\n':
        out += "\\n";
        break;
      case '\r':
        out += "\\r";
        break;
      case '\t':
        out += "\\t";
        break;
      default:
        fmt::format_to(std::back_inserter(out), "\\u{:04x}", static_cast<unsigned>(byte));
    }
  }
  out += text.substr(plain);
  out += '"';
}

void append_json_number(std::string& out, double value) {
  constexpr int digits = 10;
  std::array<char, 40> text{};
  char* const begin = text.data();
  char* const end = begin + text.size();
  const char* rounded_end = std::to_chars(begin, end, value, std::chars_format::general, digits).ptr;
  double rounded = value;
  std::from_chars(begin, rounded_end, rounded);
  if (rounded == 0) rounded = 0;  // no minus zero
  out.append(begin, std::to_chars(begin, end, rounded).ptr);
}

void append_json_instant(std::string& out, Instant at) {
  out += '"';
  out += format_rfc3339(at);
  out += '"';
}

void JsonObject::texts(std::string_view key, const std::vector<std::string>& values) {
  if (!values.empty())
    list(key, values, [](std::string& out, const std::string& text) { append_json_text(out, text); });
}

void JsonObject::key(std::string_view key) {
  if (!first_) out_ += ',';
  first_ = false;
  append_json_text(out_, key);
  out_ += ':';
}

void JsonObject::text(std::string_view k, std::string_view value) {
  key(k);
  append_json_text(out_, value);
}
void JsonObject::number(std::string_view k, double value) {
  key(k);
  append_json_number(out_, value);
}
void JsonObject::count(std::string_view k, std::uint64_t value) {
  key(k);
  out_ += std::to_string(value);
}
void JsonObject::boolean(std::string_view k, bool value) {
  key(k);
  out_ += value ? "true" : "false";
}
void JsonObject::instant(std::string_view k, Instant value) {
  key(k);
  append_json_instant(out_, value);
}

}  // namespace overwinter
