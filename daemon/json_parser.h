// What all readers of JSON here share: one parser, one padded buffer, both kept from text to text, and why a text is no
// JSON. Includes the JSON library: for .cpp files only.
#pragma once

#include <simdjson.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstring>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace overwinter {

// `longest`: the longest text it takes, in bytes; `depth`: how deeply arrays and objects may nest. Memory is taken for
// texts as they usually are, and more only when a longer one comes.
class JsonParser {
 public:
  JsonParser(std::size_t longest, std::size_t depth)
      : longest_(longest), parser_(longest), no_memory_(parser_.allocate(std::min(longest, usual_bytes), depth)) {}

  // nullptr: `root` is the text's value, valid until the next call; else why not, a static sentence.
  const char* parse(std::string_view text, simdjson::dom::element& root) {
    if (text.size() > longest_) return "the payload is too large";
    if (buffer_.size() < text.size() + simdjson::SIMDJSON_PADDING) {
      buffer_.resize(text.size() + simdjson::SIMDJSON_PADDING);
    }
    if (!text.empty()) std::memcpy(buffer_.data(), text.data(), text.size());
    return parse_in_place({buffer_.data(), text.size()}, root);
  }

  // The same of a text behind which another simdjson::SIMDJSON_PADDING bytes can be read.
  const char* parse_in_place(std::string_view text, simdjson::dom::element& root) {
    if (text.size() > longest_) return "the payload is too large";
    if (no_memory_ != simdjson::SUCCESS) return "there is no memory left to read it";
    const auto error = parser_.parse(text.data(), text.size(), false).get(root);
    if (error == simdjson::SUCCESS) return nullptr;
    if (error == simdjson::UTF8_ERROR) return "the payload is not UTF-8";
    if (error == simdjson::DEPTH_ERROR) return "the payload nests too deeply";
    if (error == simdjson::CAPACITY) return "the payload is too large";
    if (error == simdjson::NUMBER_ERROR) return "the payload holds a number that cannot be read";
    if (error == simdjson::EMPTY) return "the payload is empty";
    return "the payload is not JSON";
  }

 private:
  static constexpr std::size_t usual_bytes = std::size_t{64} * 1024;

  std::size_t longest_;
  simdjson::dom::parser parser_;
  simdjson::error_code no_memory_;
  std::vector<char> buffer_;
};

// A text member of an object; empty: there is none.
inline std::string text_member(const simdjson::dom::element& object, std::string_view key) {
  std::string_view text;
  return object[key].get(text) == simdjson::SUCCESS ? std::string(text) : std::string();
}

inline std::string_view trimmed(std::string_view text) {
  constexpr std::string_view blank = " \t\r\n";
  const auto is_blank = [](char c) { return c == ' ' || c == '\t' || c == '\r' || c == '\n'; };
  if (!text.empty() && !is_blank(text.front()) && !is_blank(text.back())) return text;  // the usual case
  const std::size_t first = text.find_first_not_of(blank);
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(blank) - first + 1);
}

// Whether a decimal number that no double can hold is too small rather than too large: by the power of ten of its first
// digit that is not 0. `text` is a number that std::from_chars has read.
inline bool is_tiny(std::string_view text) {
  constexpr std::size_t longest_exponent = 9;
  const std::size_t e = std::min(text.find_first_of("eE"), text.size());
  const std::string_view digits = text.substr(0, e);
  std::string_view exponent = text.substr(std::min(e + 1, text.size()));
  const bool below = exponent.starts_with('-');
  if (below || exponent.starts_with('+')) exponent.remove_prefix(1);
  exponent.remove_prefix(std::min(exponent.find_first_not_of('0'), exponent.size()));
  if (exponent.size() > longest_exponent) return below;
  long long power = 0;
  std::from_chars(exponent.data(), exponent.data() + exponent.size(), power);
  const auto point = static_cast<long long>(std::min(digits.find('.'), digits.size()));
  const auto first = static_cast<long long>(std::min(digits.find_first_of("123456789"), digits.size()));
  return (below ? -power : power) + point - first < 0;
}

// The whole text as a number, without locale; blanks around it and a leading + are fine. May be infinite or no number.
inline std::optional<double> number_in(std::string_view text) {
  text = trimmed(text);
  if (text.size() > 1 && text[0] == '+' && text[1] != '-') text.remove_prefix(1);
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (end != text.data() + text.size() || text.empty()) return std::nullopt;
  if (error == std::errc::result_out_of_range) return is_tiny(text) ? 0 : HUGE_VAL;
  return error == std::errc() ? std::optional(value) : std::nullopt;
}

}  // namespace overwinter
