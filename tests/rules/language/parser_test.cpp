#include "rules/language/parser.h"

#include <gtest/gtest.h>

#include "rules/language/compile.h"

namespace overwinter {
namespace {

struct Case {
  std::string_view text;
  std::string_view tree;
};

constexpr Case trees[] = {
    {"a", "a"},
    {"a.b.c", "a.b.c"},
    {"a < b + 3 psi", "(a < (b + 3 psi))"},
    {"a+b*c", "(a + (b * c))"},
    {"a*b+c", "((a * b) + c)"},
    {"a-b-c", "((a - b) - c)"},
    {"a/b*c", "((a / b) * c)"},
    {"a or b and c", "(a or (b and c))"},
    {"a and b or c", "((a and b) or c)"},
    {"not a < b", "(not (a < b))"},
    {"not a and b", "((not a) and b)"},
    {"not not a", "(not (not a))"},
    {"-a * b", "((-a) * b)"},
    {"a * -b", "(a * (-b))"},
    {"- -a", "(-(-a))"},
    {"a - -3", "(a - -3)"},
    {"a -3", "(a - 3)"},
    {"-3 + a", "(-3 + a)"},
    {"- 3", "(- 3)"},
    {"-(3)", "(- 3)"},
    {"if a then b else c", "(if a then b else c)"},
    {"if a or b then c + d else if e then f else g or h",
     "(if (a or b) then (c + d) else (if e then f else (g or h)))"},
    {"mean(a - b, 7d) > 2", "(mean((a - b), 7 d) > 2)"},
    {"f()", "f()"},
    {"f( g(x) , -1 )", "f(g(x), -1)"},
    {"f (x)", "f(x)"},
    {"((a))", "a"},
    {"x == \"a b\"", "(x == \"a b\")"},
    {"true != false", "(true != false)"},
    {"now - 2026-10-24 > 7 d", "((now - 2026-10-24) > 7 d)"},
    {"2026-10-24T18:00:00Z", "2026-10-24T18:00:00Z"},
    {"a <= b", "(a <= b)"},
    {"a>=b", "(a >= b)"},
    {"0.05 1/d", "0.05 1/d"},
    {"1/d", "(1 / d)"},
    {"60% + 5 °C", "(60 % + 5 °C)"},
    {"5 min", "5 min"},
    {"min(5 min, d)", "min(5 min, d)"},
    {"3psi/week*2week", "(3 psi/week * 2 week)"},
    {"if 1 h then 2 else 3", "(if 1 h then 2 else 3)"},
    {"1e3 V", "1e3 V"},
    {"1.5e-3V", "1.5e-3 V"},
};

TEST(Parser, BuildsTheTreeThatPrecedenceSays) {
  for (const Case& c : trees) {
    const Result<std::string> tree = dump_syntax(c.text);
    ASSERT_TRUE(tree) << c.text << ": " << tree.error().text;
    EXPECT_EQ(*tree, c.tree) << c.text;
  }
}

TEST(Parser, ADumpedTreeParsesToItself) {
  for (const Case& c : trees) EXPECT_EQ(dump_syntax(c.tree).value(), c.tree);
}

std::string brackets(std::size_t n) { return std::string(n, '(') + "a" + std::string(n, ')'); }

TEST(Parser, SixtyFourBracketsAreFine) { EXPECT_EQ(dump_syntax(brackets(64)).value(), "a"); }

TEST(Parser, SixtyFiveBracketsAreTooDeep) {
  const Fault fault = dump_syntax(brackets(65)).error();
  EXPECT_EQ(fault.text, "nested deeper than 64 levels");
  EXPECT_EQ(fault.where.column, 66U);
}

TEST(Parser, FiveThousandBracketsAreRefused) {
  EXPECT_EQ(dump_syntax(brackets(5000)).error().text, "an expression of 10001 characters is too long");
  EXPECT_EQ(dump_syntax(std::string(5000, '(')).error().text, "an expression of 5000 characters is too long");
  EXPECT_EQ(dump_syntax(brackets(2000)).error().text, "nested deeper than 64 levels");
}

TEST(Parser, EveryKindOfNestingIsBounded) {
  const auto repeated = [](std::string_view part, int n) {
    std::string text;
    for (int i = 0; i < n; ++i) text += part;
    return text;
  };
  for (const std::string_view part : {"not ", "- ", "f(", "if a then b else ", "if ", "1 + ("}) {
    const Result<std::string> tree = dump_syntax(repeated(part, 200) + "a");
    ASSERT_FALSE(tree) << part;
    EXPECT_EQ(tree.error().text, "nested deeper than 64 levels") << part;
  }
}

TEST(Parser, ALongSumIsNotDeep) {
  std::string text = "a";
  while (text.size() < 4000) text += "+a";
  EXPECT_TRUE(dump_syntax(text));
}

TEST(Parser, TheLengthCountsCodePoints) {
  std::string text = "5 °C";
  while (count_code_points(text) < 4096) text += ' ';
  EXPECT_TRUE(dump_syntax(text));
  EXPECT_EQ(dump_syntax(text + " ").error().text, "an expression of 4097 characters is too long");
}

TEST(Parser, ColumnsCountCodePoints) {
  const Fault fault = dump_syntax("5 °C = 6 °C").error();
  EXPECT_EQ(fault.where, (Place{"", 1, 6, 1}));
}

TEST(Parser, ReservedWordsAreThoseOfTheLanguage) {
  for (const std::string_view word :
       {"if", "then", "else", "and", "or", "not", "true", "false", "now", "in", "place", "name", "mean", "min"}) {
    EXPECT_TRUE(is_reserved_word(word)) << word;
  }
  EXPECT_FALSE(is_reserved_word("pressure"));
}

}  // namespace
}  // namespace overwinter
