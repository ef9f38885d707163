#include "daemon/printable.h"

#include <simdjson.h>

namespace overwinter {
namespace {

constexpr char begins_c1 = '\xC2';  // U+0080 to U+009F are C2 80 to C2 9F in UTF-8

bool is_c0(char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7F; }
bool ends_c1(char c) { return static_cast<unsigned char>(c) >= 0x80 && static_cast<unsigned char>(c) < 0xA0; }

std::string without_controls(std::string_view text, std::string_view kept) {
  std::string out;
  out.reserve(text.size());
  for (const char c : text) {
    if (!out.empty() && out.back() == begins_c1 && ends_c1(c)) {
      out.back() = '?';
    } else {
      out += is_c0(c) && kept.find(c) == std::string_view::npos ? '?' : c;
    }
  }
  return out;
}

std::string without_controls_in_utf_8(std::string_view text, std::string_view kept) {
  std::string out = without_controls(text, kept);
  if (simdjson::validate_utf8(out.data(), out.size())) return out;
  for (char& c : out) c = static_cast<unsigned char>(c) >= 0x80 ? '?' : c;
  return out;
}

}  // namespace

std::string printable(std::string_view text) { return without_controls_in_utf_8(text, {}); }
std::string printable_lines(std::string_view text) { return without_controls_in_utf_8(text, "\n"); }

PrintableBuffer::PrintableBuffer(std::streambuf& to, std::string_view kept) : to_(to) { kept_ += kept; }

std::streamsize PrintableBuffer::xsputn(const char* text, std::streamsize size) {
  std::string whole(half_ ? 1 : 0, begins_c1);
  whole.append(text, static_cast<std::size_t>(size));
  half_ = whole.ends_with(begins_c1);
  if (half_) whole.pop_back();
  const std::string out = without_controls(whole, kept_);
  const auto length = static_cast<std::streamsize>(out.size());
  return to_.sputn(out.data(), length) == length ? size : 0;
}

PrintableBuffer::int_type PrintableBuffer::overflow(int_type c) {
  if (traits_type::eq_int_type(c, traits_type::eof())) return traits_type::not_eof(c);
  const char one = traits_type::to_char_type(c);
  return xsputn(&one, 1) == 1 ? c : traits_type::eof();
}

int PrintableBuffer::sync() { return to_.pubsync(); }

}  // namespace overwinter
