// A look at a YAML text before the YAML library sees it: that library keeps every token between an opening bracket and
// its end, so that a megabyte of brackets costs hundreds of megabytes.
#pragma once

#include <optional>
#include <string_view>

namespace overwinter {

struct BracketFault {
  std::size_t at = 0;     // byte
  bool too_deep = false;  // else: too much in one pair
};

// Where the outermost bracket opens that has no end; nothing: all have one.
std::optional<std::size_t> open_bracket(std::string_view text);

// The first place at which brackets nest deeper, or one outermost pair holds more brackets and commas, than config
// reads.
std::optional<BracketFault> check_brackets(std::string_view text);

}  // namespace overwinter
