// What all readers of JSON here share: one parser, one padded buffer, both kept from text to text, and why a text is no
// JSON. Includes the JSON library: for .cpp files only.
#pragma once

#include <simdjson.h>

#include <charconv>
#include <cmath>
#include <cstring>
#include <optional>
#include <string_view>
#include <vector>

namespace overwinter {

// `bytes`: the longest text it takes; `depth`: how deeply arrays and objects may nest.
class JsonParser {
 public:
  JsonParser(std::size_t bytes, std::size_t depth) : parser_(bytes), buffer_(bytes + simdjson::SIMDJSON_PADDING) {
    // Without memory for it the first parse reports the same.
    static_cast<void>(parser_.allocate(bytes, depth));
  }

  // nullptr: `root` is the text's value, valid until the next call; else why not, a static sentence.
  const char* parse(std::string_view text, simdjson::dom::element& root) {
    if (text.size() + simdjson::SIMDJSON_PADDING > buffer_.size()) return "the payload is too large";
    if (!text.empty()) std::memcpy(buffer_.data(), text.data(), text.size());
    const auto error = parser_.parse(buffer_.data(), text.size(), false).get(root);
    if (error == simdjson::SUCCESS) return nullptr;
    if (error == simdjson::UTF8_ERROR) return "the payload is not UTF-8";
    if (error == simdjson::DEPTH_ERROR) return "the payload nests too deeply";
    if (error == simdjson::CAPACITY) return "the payload is too large";
    if (error == simdjson::NUMBER_ERROR) return "the payload holds a number that cannot be read";
    if (error == simdjson::EMPTY) return "the payload is empty";
    return "the payload is not JSON";
  }

 private:
  simdjson::dom::parser parser_;
  std::vector<char> buffer_;
};

inline std::string_view trimmed(std::string_view text) {
  constexpr std::string_view blank = " \t\r\n";
  const std::size_t first = text.find_first_not_of(blank);
  if (first == std::string_view::npos) return {};
  return text.substr(first, text.find_last_not_of(blank) - first + 1);
}

// The whole text as a number, without locale; blanks around it and a leading + are fine. May be infinite or no number.
inline std::optional<double> number_in(std::string_view text) {
  text = trimmed(text);
  if (text.size() > 1 && text[0] == '+' && text[1] != '-') text.remove_prefix(1);
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (end != text.data() + text.size() || text.empty()) return std::nullopt;
  if (error == std::errc::result_out_of_range)
    return text.find("e-") != text.npos || text.find("E-") != text.npos ? 0 : HUGE_VAL;
  return error == std::errc() ? std::optional(value) : std::nullopt;
}

}  // namespace overwinter
