// Text to tokens, one at a time. A number carries its unit, a path its dots; a bad token carries the fault.
#pragma once

#include <cstdint>
#include <string_view>

#include "rules/language/source.h"
#include "rules/quantity/unit.h"

namespace overwinter {

enum class TokenKind : std::uint8_t {
  end,
  bad,
  number,
  date,
  text,
  path,
  open,
  close,
  comma,
  plus,
  minus,
  star,
  slash,
  less,
  less_equal,
  greater,
  greater_equal,
  equal,
  not_equal,
  if_word,
  then_word,
  else_word,
  and_word,
  or_word,
  not_word,
  true_word,
  false_word,
  now_word,
  in_word,
};

struct Token {
  TokenKind kind = TokenKind::end;
  Extent extent;
  std::string_view text;       // as written; of text: without its quotes
  double number = 0;           // as written, before conversion
  std::string_view unit_text;  // of a number; empty for none
  Unit unit{};
};

class Lexer {
 public:
  explicit Lexer(std::string_view text) : text_(text) {}

  Token next();
  // What is wrong with the bad token.
  const Fault& fault() const { return fault_; }

 private:
  char at(std::size_t offset) const { return offset < text_.size() ? text_[offset] : '\0'; }
  Token make(TokenKind kind, std::size_t end);
  Token bad(std::size_t begin, std::size_t end, std::string message, std::string hint);
  Token number();
  Token unit_of(Token number);
  Token date();
  Token text();
  Token path();
  Token sign();
  Token foreign();

  std::string_view text_;
  std::size_t offset_ = 0;
  Fault fault_;
};

}  // namespace overwinter
