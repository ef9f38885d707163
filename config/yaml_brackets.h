// A look at a YAML text before the YAML library sees it: that library keeps every token between an opening bracket and
// its end, so that a megabyte of brackets costs hundreds of megabytes.
#pragma once

#include <optional>
#include <string_view>

namespace overwinter {

struct BracketFault {
  enum class Why : unsigned char { too_deep, too_much_in_one_pair, too_many_in_the_file };
  std::size_t at = 0;  // byte
  Why why = Why::too_deep;
};

// Where the outermost bracket opens that has no end; nothing: all have one.
std::optional<std::size_t> open_bracket(std::string_view text);

// The first place at which brackets nest deeper, or one outermost pair holds more brackets and commas, than config
// reads, or the file holds too many of them.
std::optional<BracketFault> check_brackets(std::string_view text);

}  // namespace overwinter
