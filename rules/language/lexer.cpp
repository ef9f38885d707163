#include "rules/language/lexer.h"

#include <fmt/format.h>

#include <array>
#include <charconv>
#include <cmath>
#include <utility>

#include "rules/language/vocabulary.h"
#include "rules/quantity/digit.h"
#include "rules/quantity/time.h"

namespace overwinter {
namespace {

bool is_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }
bool is_name(char c) { return is_letter(c) || is_digit(c) || c == '_'; }
bool is_beyond_ascii(char c) { return static_cast<unsigned char>(c) >= 0x80; }

constexpr std::string_view degree = "°";
constexpr std::array<std::string_view, 4> unit_marks = {"°", "²", "³", "µ"};

// How many bytes of a unit stand at `rest`: 0 when none.
std::size_t unit_character(std::string_view rest) {
  if (rest.empty()) return 0;
  const char c = rest.front();
  if (is_name(c) || c == '.' || c == '/' || c == '^' || c == '%') return 1;
  for (const std::string_view mark : unit_marks) {
    if (rest.starts_with(mark)) return mark.size();
  }
  return 0;
}

bool starts_unit(std::string_view rest, bool after_space) {
  if (rest.empty()) return false;
  if (is_letter(rest.front()) || rest.front() == '%' || rest.starts_with(degree)) return true;
  return after_space && rest.size() > 2 && rest[0] == '1' && rest[1] == '/' && is_letter(rest[2]);
}

std::string_view leading_name(std::string_view run) {
  std::size_t n = 0;
  while (n < run.size() && is_name(run[n])) ++n;
  return run.substr(0, n);
}

struct Keyword {
  std::string_view word;
  TokenKind kind;
};
constexpr Keyword keywords[] = {
    {"if", TokenKind::if_word},     {"then", TokenKind::then_word},   {"else", TokenKind::else_word},
    {"and", TokenKind::and_word},   {"or", TokenKind::or_word},       {"not", TokenKind::not_word},
    {"true", TokenKind::true_word}, {"false", TokenKind::false_word}, {"now", TokenKind::now_word},
    {"in", TokenKind::in_word},
};

// What people write from habit, and what to write here.
struct Habit {
  std::string_view written;
  std::string_view message;
  std::string_view hint;
};
constexpr Habit habits[] = {
    {"&&", "there is no `&&`", "write `and`"},
    {"&", "there is no `&`", "write `and`"},
    {"||", "there is no `||`", "write `or`"},
    {"|", "there is no `|`", "write `or`"},
    {"=<", "there is no `=<`", "write `<=`"},
    {"=>", "there is no `=>`", "write `>=`"},
    {"=", "`=` alone compares nothing", "write `==`"},
    {"!", "there is no `!`", "write `not`"},
    {"≤", "there is no `≤`", "write `<=`"},
    {"≥", "there is no `≥`", "write `>=`"},
    {"≠", "there is no `≠`", "write `!=`"},
    {"×", "there is no `×`", "write `*`"},
    {"·", "there is no `·`", "write `*`, or `.` inside a unit"},
    {"÷", "there is no `÷`", "write `/`"},
    {"−", "`−` is no minus sign here", "write `-`"},
    {"±", "there is no `±`", "write two comparisons joined with `and`"},
    {"^", "there is no power", "multiply instead: `x * x`"},
    {"?", "there is no `?`", "write `if a then b else c`"},
    {"'", "words stand in double quotes", "write \"word\""},
    {"“", "words stand in straight double quotes", "write \"word\""},
    {"”", "words stand in straight double quotes", "write \"word\""},
    {"%", "`%` is a unit and stands after a number", "write it as in `60 %`"},
    {"°", "`°` is part of a unit and stands after a number", "write it as in `5 °C`"},
    {"{", "there are no braces in an expression", "use round brackets"},
    {"}", "there are no braces in an expression", "use round brackets"},
    {"[", "there are no square brackets", "use round brackets"},
    {"]", "there are no square brackets", "use round brackets"},
    {";", "one expression is one line of one part", "join conditions with `and` or `or`"},
    {".", "a `.` stands between two names, without spaces",
     "write it as in `outdoors.temperature`, a number as in `0.5`"},
};

}  // namespace

Token Lexer::make(TokenKind kind, std::size_t end) {
  Token token;
  token.kind = kind;
  token.extent = {static_cast<std::uint32_t>(offset_), static_cast<std::uint32_t>(end)};
  token.text = slice(text_, token.extent);
  offset_ = end;
  return token;
}

Token Lexer::bad(std::size_t begin, std::size_t end, std::string message, std::string hint) {
  const Extent extent{static_cast<std::uint32_t>(begin), static_cast<std::uint32_t>(end)};
  fault_ = Fault{place_in(text_, extent), std::move(message), std::move(hint), Severity::error};
  Token token = make(TokenKind::bad, offset_);
  token.extent = extent;
  return token;
}

Token Lexer::next() {
  while (at(offset_) == ' ' || at(offset_) == '\t' || at(offset_) == '\n' || at(offset_) == '\r') ++offset_;
  if (offset_ >= text_.size()) return make(TokenKind::end, offset_);
  const char c = at(offset_);
  if (is_digit(c)) {
    const std::string_view rest = text_.substr(offset_);
    const auto digits = [&](std::size_t from, std::size_t count) {
      for (std::size_t i = from; i < from + count; ++i) {
        if (i >= rest.size() || !is_digit(rest[i])) return false;
      }
      return true;
    };
    const bool dated = digits(0, 4) && digits(5, 2) && digits(8, 2) && rest[4] == '-' && rest[7] == '-';
    return dated ? date() : number();
  }
  if (is_letter(c) || c == '_') return path();
  if (c == '"') return text();
  return sign();
}

Token Lexer::number() {
  std::size_t end = offset_;
  while (is_digit(at(end))) ++end;
  if (at(end) == '.' && is_digit(at(end + 1))) {
    ++end;
    while (is_digit(at(end))) ++end;
  }
  if (at(end) == 'e' || at(end) == 'E') {
    const std::size_t digits = end + (at(end + 1) == '+' || at(end + 1) == '-' ? 2 : 1);
    if (is_digit(at(digits))) {
      end = digits;
      while (is_digit(at(end))) ++end;
    }
  }
  const std::size_t begin = offset_;
  Token token = make(TokenKind::number, end);
  const auto [_, error] = std::from_chars(token.text.data(), token.text.data() + token.text.size(), token.number);
  if (error != std::errc{} || !std::isfinite(token.number)) {
    return bad(begin, end, fmt::format("{} is out of range", quote(token.text)), "use a unit of another size");
  }
  return unit_of(token);
}

Token Lexer::unit_of(Token number) {
  std::size_t begin = offset_;
  while (at(begin) == ' ' || at(begin) == '\t') ++begin;
  const std::string_view rest = text_.substr(begin);
  if (!starts_unit(rest, begin > offset_)) return number;
  std::size_t length = 0;
  while (const std::size_t step = unit_character(rest.substr(length))) length += step;
  const std::string_view run = rest.substr(0, length);
  if (is_language_word(leading_name(run))) return number;
  Result<Unit> unit = parse_unit(run, UnitContext::expression);
  if (!unit) {
    std::string hint = unit.error().hint;
    if (run.find('/') != std::string_view::npos && hint.find("around `/`") == std::string::npos) {
      hint += (hint.empty() ? "" : " ") + std::string("to divide, write spaces around `/`, as in `3 psi / 7 d`");
    }
    if (hint.empty()) hint = "a unit is written as in `5 degC`, `3 psi`, `7 d`, `60 %`";
    return bad(begin, begin + length, unit.error().text, std::move(hint));
  }
  offset_ = begin + length;
  number.extent.end = static_cast<std::uint32_t>(offset_);
  number.text = slice(text_, number.extent);
  number.unit_text = run;
  number.unit = *unit;
  return number;
}

Token Lexer::date() {
  const auto part_of_date = [](char c) { return is_name(c) || c == '-' || c == ':' || c == '.' || c == '+'; };
  const std::size_t begin = offset_;
  std::size_t end = offset_;
  while (part_of_date(at(end))) ++end;
  Token token = make(TokenKind::date, end);
  if (parse_date(token.text) || parse_rfc3339(token.text)) return token;
  return bad(begin, end, fmt::format("{} is no date and no instant", quote(token.text)),
             "write `2026-10-24` or `2026-10-24T18:00:00Z`; a subtraction needs spaces around its `-`");
}

Token Lexer::text() {
  const std::size_t close = text_.find('"', offset_ + 1);
  if (close == std::string_view::npos) {
    return bad(offset_, text_.size(), "the closing double quote is missing", "write \"word\"");
  }
  Token token = make(TokenKind::text, close + 1);
  token.text = token.text.substr(1, token.text.size() - 2);
  return token;
}

Token Lexer::path() {
  std::size_t end = offset_;
  while (is_name(at(end))) {
    while (is_name(at(end))) ++end;
    if (at(end) == '.' && (is_letter(at(end + 1)) || at(end + 1) == '_')) ++end;
  }
  if (is_beyond_ascii(at(end))) {
    while (is_name(at(end)) || is_beyond_ascii(at(end))) ++end;
    return bad(offset_, end, fmt::format("{} is no name", quote(text_.substr(offset_, end - offset_))),
               "names are lower case ASCII");
  }
  Token token = make(TokenKind::path, end);
  for (const Keyword& keyword : keywords) {
    if (token.text == keyword.word) token.kind = keyword.kind;
  }
  return token;
}

Token Lexer::sign() {
  const char after = at(offset_ + 1);
  switch (at(offset_)) {
    case '(':
      return make(TokenKind::open, offset_ + 1);
    case ')':
      return make(TokenKind::close, offset_ + 1);
    case ',':
      return make(TokenKind::comma, offset_ + 1);
    case '+':
      return make(TokenKind::plus, offset_ + 1);
    case '-':
      return make(TokenKind::minus, offset_ + 1);
    case '*':
      return make(TokenKind::star, offset_ + 1);
    case '/':
      return make(TokenKind::slash, offset_ + 1);
    case '<':
      return after == '=' ? make(TokenKind::less_equal, offset_ + 2) : make(TokenKind::less, offset_ + 1);
    case '>':
      return after == '=' ? make(TokenKind::greater_equal, offset_ + 2) : make(TokenKind::greater, offset_ + 1);
    case '=':
      return after == '=' ? make(TokenKind::equal, offset_ + 2) : foreign();
    case '!':
      return after == '=' ? make(TokenKind::not_equal, offset_ + 2) : foreign();
    default:
      return foreign();
  }
}

Token Lexer::foreign() {
  const std::string_view rest = text_.substr(offset_);
  for (const Habit& habit : habits) {
    if (rest.starts_with(habit.written)) {
      return bad(offset_, offset_ + habit.written.size(), std::string(habit.message), std::string(habit.hint));
    }
  }
  std::size_t end = offset_ + 1;
  while (end < text_.size() && (static_cast<unsigned char>(text_[end]) & 0xC0U) == 0x80U) ++end;
  const std::string_view character = text_.substr(offset_, end - offset_);
  if (is_beyond_ascii(character.front())) {
    return bad(offset_, end, fmt::format("{} stands outside a word in quotes", quote(character)),
               "names are lower case ASCII");
  }
  const bool visible = character.front() > ' ' && character.front() != 0x7F;
  return bad(offset_, end, visible ? fmt::format("{} has no meaning here", quote(character)) : "a control character",
             "take it out");
}

}  // namespace overwinter
