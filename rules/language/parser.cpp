#include "rules/language/parser.h"

#include <fmt/format.h>

#include <optional>
#include <utility>

#include "rules/language/lexer.h"
#include "rules/limits.h"

namespace overwinter {
namespace {

struct Binary {
  TokenKind token;
  Op op;
  int priority;  // loose to tight
};

constexpr int not_priority = 3;
constexpr int comparison_priority = 4;
constexpr int sign_priority = 7;
constexpr Binary binaries[] = {
    {TokenKind::or_word, Op::logical_or, 1},
    {TokenKind::and_word, Op::logical_and, 2},
    {TokenKind::less, Op::less, comparison_priority},
    {TokenKind::less_equal, Op::less_equal, comparison_priority},
    {TokenKind::greater, Op::greater, comparison_priority},
    {TokenKind::greater_equal, Op::greater_equal, comparison_priority},
    {TokenKind::equal, Op::equal, comparison_priority},
    {TokenKind::not_equal, Op::not_equal, comparison_priority},
    {TokenKind::plus, Op::add, 5},
    {TokenKind::minus, Op::subtract, 5},
    {TokenKind::star, Op::multiply, 6},
    {TokenKind::slash, Op::divide, 6},
};

const Binary* find_binary(TokenKind token) {
  for (const Binary& binary : binaries) {
    if (binary.token == token) return &binary;
  }
  return nullptr;
}

class Parser {
 public:
  explicit Parser(std::string_view text) : lexer_(text) { syntax_.source = text; }

  Result<Syntax> parse();

 private:
  using Parsed = Result<NodeIndex>;

  // Operators of a priority above `limit`.
  Parsed expression(int limit);
  Parsed operand(int limit);
  Parsed conditional(int limit);
  Parsed negation(int limit);
  Parsed sign();
  Parsed bracket();
  Parsed call(const Token& name);
  Parsed leaf();
  tl::unexpected<Fault> chained(NodeIndex comparison);

  void advance() {
    previous_end_ = token_.extent.end;
    token_ = lexer_.next();
  }
  tl::unexpected<Fault> fail(Extent extent, std::string text, std::string hint) const {
    return fault_at(syntax_.source, extent, std::move(text), std::move(hint));
  }
  // The token cannot stand where it stands.
  tl::unexpected<Fault> unexpected(std::string_view wanted) const;
  NodeIndex add(Node node) {
    syntax_.nodes.push_back(std::move(node));
    return static_cast<NodeIndex>(syntax_.nodes.size() - 1);
  }
  NodeIndex add_operation(Op op, Extent mark, std::uint32_t begin, std::vector<NodeIndex> children);
  Extent extent(NodeIndex index) const { return syntax_.nodes[index].extent; }
  std::string_view written(NodeIndex index) const { return slice(syntax_.source, extent(index)); }

  Lexer lexer_;
  Token token_;
  std::uint32_t previous_end_ = 0;
  std::size_t depth_ = 0;
  Syntax syntax_;
};

Result<Syntax> Parser::parse() {
  const std::string_view text = syntax_.source;
  if (const std::uint32_t length = count_code_points(text); length > limits::expression_characters) {
    return fault_at(text, {0, static_cast<std::uint32_t>(text.size())},
                    fmt::format("an expression of {} characters is too long", length),
                    fmt::format("at most {} characters; split it into two rules", limits::expression_characters));
  }
  advance();
  if (token_.kind == TokenKind::end) return fail(token_.extent, "there is no expression", "write a condition");
  const Parsed root = expression(0);
  if (!root) return tl::unexpected(root.error());
  if (token_.kind != TokenKind::end) return unexpected("an operator");
  return std::move(syntax_);
}

NodeIndex Parser::add_operation(Op op, Extent mark, std::uint32_t begin, std::vector<NodeIndex> children) {
  Node node;
  node.kind = NodeKind::operation;
  node.op = op;
  node.mark = mark;
  node.extent = {begin, extent(children.back()).end};
  node.children = std::move(children);
  return add(std::move(node));
}

Parser::Parsed Parser::expression(int limit) {
  Parsed left = operand(limit);
  bool compared = false;
  while (left) {
    const Binary* binary = find_binary(token_.kind);
    if (binary == nullptr || binary->priority <= limit) break;
    const bool comparison = binary->priority == comparison_priority;
    if (comparison && compared) return chained(*left);
    const Extent mark = token_.extent;
    advance();
    const Parsed right = expression(binary->priority);
    if (!right) return right;
    left = add_operation(binary->op, mark, extent(*left).begin, {*left, *right});
    compared = comparison;
  }
  return left;
}

tl::unexpected<Fault> Parser::chained(NodeIndex comparison) {
  const Node& first = syntax_.nodes[comparison];
  const Extent mark = token_.extent;
  const std::string_view sign = token_.text;
  const std::string_view first_sign = operator_text(first.op);
  const std::string_view a = written(first.children[0]);
  const std::string_view b = written(first.children[1]);
  advance();
  const Parsed right = expression(comparison_priority);
  const std::string_view c = right ? written(*right) : "…";
  return fail(mark, "comparisons do not chain",
              fmt::format("write `{} {} {} and {} {} {}`", a, first_sign, b, b, sign, c));
}

Parser::Parsed Parser::operand(int limit) {
  if (depth_ > limits::expression_depth) {
    return fail(token_.extent, fmt::format("nested deeper than {} levels", limits::expression_depth),
                "take brackets out, or split it into two rules");
  }
  ++depth_;
  Parsed parsed = token_.kind == TokenKind::if_word    ? conditional(limit)
                  : token_.kind == TokenKind::not_word ? negation(limit)
                  : token_.kind == TokenKind::minus    ? sign()
                  : token_.kind == TokenKind::open     ? bracket()
                                                       : leaf();
  --depth_;
  return parsed;
}

Parser::Parsed Parser::conditional(int limit) {
  const Extent mark = token_.extent;
  if (limit > 0) return fail(mark, "`if` inside an expression needs brackets", "write `(if a then b else c)`");
  advance();
  const Parsed condition = expression(0);
  if (!condition) return condition;
  if (token_.kind != TokenKind::then_word) return unexpected("`then`");
  advance();
  const Parsed yes = expression(0);
  if (!yes) return yes;
  if (token_.kind != TokenKind::else_word) return unexpected("`else`");
  advance();
  const Parsed no = expression(0);
  if (!no) return no;
  return add_operation(Op::select, mark, mark.begin, {*condition, *yes, *no});
}

Parser::Parsed Parser::negation(int limit) {
  const Extent mark = token_.extent;
  if (limit > not_priority) {
    return fail(mark, "`not` takes a whole comparison, so here it needs brackets", "write `(not a)`");
  }
  advance();
  const Parsed inner = expression(not_priority);
  if (!inner) return inner;
  return add_operation(Op::logical_not, mark, mark.begin, {*inner});
}

Parser::Parsed Parser::sign() {
  const Extent mark = token_.extent;
  advance();
  if (token_.kind == TokenKind::number && token_.extent.begin == mark.end) {
    const Parsed number = leaf();
    Node& node = syntax_.nodes[*number];
    node.number = -node.number;
    node.extent.begin = mark.begin;
    node.mark.begin = mark.begin;
    node.text = syntax_.source.substr(mark.begin, node.text.size() + 1);
    return number;
  }
  const Parsed inner = expression(sign_priority);
  if (!inner) return inner;
  return add_operation(Op::negate, mark, mark.begin, {*inner});
}

Parser::Parsed Parser::bracket() {
  const Extent open = token_.extent;
  advance();
  const Parsed inner = expression(0);
  if (!inner) return inner;
  if (token_.kind != TokenKind::close) return unexpected("`)`");
  syntax_.nodes[*inner].extent = {open.begin, token_.extent.end};
  advance();
  return inner;
}

Parser::Parsed Parser::call(const Token& name) {
  if (name.text.find('.') != std::string_view::npos) {
    return fail(name.extent, fmt::format("{} is no function", quote(name.text)), "the name of a function has no `.`");
  }
  Node node;
  node.kind = NodeKind::call;
  node.text = name.text;
  node.mark = name.extent;
  advance();
  while (token_.kind != TokenKind::close || !node.children.empty()) {
    const Parsed argument = expression(0);
    if (!argument) return argument;
    node.children.push_back(*argument);
    if (token_.kind == TokenKind::close) break;
    if (token_.kind != TokenKind::comma) return unexpected("`,` or `)`");
    advance();
  }
  node.extent = {name.extent.begin, token_.extent.end};
  advance();
  return add(std::move(node));
}

Parser::Parsed Parser::leaf() {
  const Token token = token_;
  Node node;
  node.extent = node.mark = token.extent;
  node.text = token.text;
  if (token.kind == TokenKind::path) {
    advance();
    if (token_.kind == TokenKind::open) return call(token);
    node.kind = NodeKind::path;
    return add(std::move(node));
  }
  if (token.kind == TokenKind::number) {
    node.kind = NodeKind::number;
    node.number = token.number;
    node.unit_text = token.unit_text;
    node.unit = token.unit;
    if (!token.unit_text.empty()) {
      node.text.remove_suffix(token.unit_text.size());
      while (node.text.ends_with(' ') || node.text.ends_with('\t')) node.text.remove_suffix(1);
    }
  } else if (token.kind == TokenKind::date) {
    node.kind = NodeKind::date;
  } else if (token.kind == TokenKind::text) {
    node.kind = NodeKind::text;
  } else if (token.kind == TokenKind::true_word || token.kind == TokenKind::false_word) {
    node.kind = NodeKind::boolean;
    node.number = token.kind == TokenKind::true_word ? 1 : 0;
  } else if (token.kind == TokenKind::now_word) {
    node.kind = NodeKind::now;
  } else {
    return unexpected("a value");
  }
  advance();
  return add(std::move(node));
}

tl::unexpected<Fault> Parser::unexpected(std::string_view wanted) const {
  if (token_.kind == TokenKind::bad) return tl::unexpected(lexer_.fault());
  if (token_.kind == TokenKind::end) {
    return fail(token_.extent, fmt::format("the expression ends where {} should stand", wanted),
                fmt::format("write {} at the end", wanted));
  }
  if (token_.kind == TokenKind::in_word) {
    return fail(token_.extent, "`in` stands only before the unit at the end of a brace in a message",
                "the unit inch is written `inch` here");
  }
  if (token_.kind == TokenKind::plus && wanted == "a value") {
    return fail(token_.extent, "there is no sign `+`", "leave it out");
  }
  const std::string text =
      fmt::format("{} stands where {} should", quote(slice(syntax_.source, token_.extent)), wanted);
  if (wanted == "an operator" && token_.kind == TokenKind::comma) {
    return fail(token_.extent, text, "a decimal point is written `.`; commas only part the arguments of a function");
  }
  if (wanted == "an operator" && token_.kind == TokenKind::close)
    return fail(token_.extent, text, "take it out, or open it");
  if (wanted == "an operator") {
    return fail(token_.extent, text,
                "join parts with `and`, `or`, a comparison, `+ - * /`; a unit stands right after a number");
  }
  return fail(token_.extent, text, fmt::format("write {} before it", wanted));
}

}  // namespace

Result<Syntax> parse(std::string_view text) { return Parser(text).parse(); }

}  // namespace overwinter
