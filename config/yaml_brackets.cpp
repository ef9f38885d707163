#include "config/yaml_brackets.h"

#include <cstddef>

#include "config/yaml_tree.h"
#include "rules/limits.h"

namespace overwinter {
namespace {

bool is_space(char c) { return c == ' ' || c == '\t'; }

// Walks a text token by token, as far as it must to tell brackets of the structure from those inside scalars.
class BracketWalk {
 public:
  explicit BracketWalk(std::string_view text) : text_(text) {}

  std::optional<BracketFault> run() {
    while (at_ < text_.size()) {
      if (depth_ == 0) {
        block_token();
      } else {
        flow_token();
      }
      if (fault_) return fault_;
    }
    return {};
  }

  // After run(): where the outermost bracket without an end stands.
  std::optional<std::size_t> open_at() const { return depth_ > 0 ? std::optional(outermost_) : std::nullopt; }

 private:
  char peek(std::size_t ahead = 0) const { return at_ + ahead < text_.size() ? text_[at_ + ahead] : '\n'; }
  bool ends_word(std::size_t ahead) const {
    return is_space(peek(ahead)) || peek(ahead) == '\n' || peek(ahead) == '\r';
  }

  void skip_line() {
    while (at_ < text_.size() && text_[at_] != '\n') ++at_;
  }

  void skip_quoted() {
    const char quote = text_[at_++];
    while (at_ < text_.size()) {
      const char c = text_[at_++];
      if (c == '\\' && quote == '"') {
        ++at_;
      } else if (c == quote) {
        if (quote == '\'' && peek() == quote) {
          ++at_;
        } else {
          return;
        }
      }
    }
  }

  void open() {
    if (depth_ == 0) {
      size_ = 0;
      outermost_ = at_;
    }
    ++depth_;
    ++size_;
    may_quote_ = true;
    if (depth_ > limits::yaml_depth) fault_ = {at_, BracketFault::Why::too_deep};
    if (size_ > max_bracket_size) fault_ = {at_, BracketFault::Why::too_much_in_one_pair};
    ++at_;
  }

  // At the start of a token outside of brackets: line start, or behind an indicator.
  void block_token() {
    const char c = text_[at_];
    if (c == '\n') {
      indent_ = 0;
      line_start_ = true;
      ++at_;
    } else if (is_space(c) || c == '\r') {
      if (line_start_) ++indent_;
      ++at_;
    } else if (c == '#') {
      skip_line();
    } else if (c == '[' || c == '{') {
      open();
    } else if (c == '"' || c == '\'') {
      skip_quoted();
    } else if ((c == '|' || c == '>') && !line_start_) {
      skip_block_scalar();
    } else if ((c == '-' || c == '?' || c == ':') && ends_word(1)) {
      line_start_ = false;
      ++at_;
    } else {
      line_start_ = false;
      plain();
    }
  }

  // To the `: ` that makes it a key, a comment, or the end of the line.
  void plain() {
    while (at_ < text_.size() && text_[at_] != '\n') {
      if (text_[at_] == ':' && ends_word(1)) {
        ++at_;
        return;
      }
      if (is_space(text_[at_]) && peek(1) == '#') {
        skip_line();
        return;
      }
      ++at_;
    }
  }

  // Its lines are indented deeper than the line that opens it, or blank.
  void skip_block_scalar() {
    const std::size_t parent = indent_;
    skip_line();
    while (at_ < text_.size()) {
      std::size_t next = at_ + 1;
      std::size_t indent = 0;
      while (next < text_.size() && text_[next] == ' ') ++next, ++indent;
      const bool blank = next >= text_.size() || text_[next] == '\n' || text_[next] == '\r';
      if (!blank && indent <= parent) return;
      at_ = next;
      skip_line();
    }
  }

  void flow_token() {
    const char c = text_[at_];
    if (c == '[' || c == '{') {
      open();
    } else if (c == ']' || c == '}') {
      --depth_;
      ++at_;
    } else if (c == ',') {
      if (++size_ > max_bracket_size) fault_ = {at_, BracketFault::Why::too_much_in_one_pair};
      may_quote_ = true;
      ++at_;
    } else if (may_quote_ && (c == '"' || c == '\'')) {
      skip_quoted();
      may_quote_ = false;
    } else if (is_space(c) || c == '\n' || c == '\r') {
      ++at_;
      if (peek() == '#' && at_ < text_.size()) skip_line();
    } else {
      plain_in_brackets();
    }
  }

  // A quote opens a text only behind an indicator or a tag: inside a plain scalar it is a letter (5 o'clock, the 'a).
  void plain_in_brackets() {
    const bool is_tag = peek() == '!' || peek() == '&' || (peek() == '?' && ends_word(1));
    may_quote_ = may_quote_ && is_tag;
    while (at_ < text_.size()) {
      const char c = text_[at_];
      if (c == '[' || c == '{' || c == ']' || c == '}' || c == ',' || is_space(c) || c == '\n') return;
      ++at_;
      if (c == ':' && ends_word(0)) {
        may_quote_ = true;
        return;
      }
    }
  }

  std::string_view text_;
  std::size_t at_ = 0;
  std::size_t depth_ = 0, size_ = 0, indent_ = 0, outermost_ = 0;
  bool line_start_ = true;
  bool may_quote_ = true;  // in brackets: behind an indicator
  std::optional<BracketFault> fault_;
};

}  // namespace

std::optional<BracketFault> check_brackets(std::string_view text) {
  // Whatever the walk takes for text, the library may take for structure: so many brackets it can hold.
  std::size_t brackets = 0;
  for (std::size_t at = 0; at < text.size(); ++at) {
    if ((text[at] == '[' || text[at] == '{') && ++brackets > max_brackets) {
      return BracketFault{at, BracketFault::Why::too_many_in_the_file};
    }
  }
  return BracketWalk(text).run();
}

std::optional<std::size_t> open_bracket(std::string_view text) {
  BracketWalk walk(text);
  walk.run();
  return walk.open_at();
}

}  // namespace overwinter
