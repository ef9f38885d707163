#include "rules/language/source.h"

#include <gtest/gtest.h>

namespace overwinter {
namespace {

Fault fault_in_file(std::uint32_t column, std::uint32_t length, std::string hint = "write `==`") {
  return Fault{{"site.yaml", 14, column, length}, "`=` alone compares nothing", std::move(hint), Severity::error};
}

TEST(Source, CountsCodePoints) {
  EXPECT_EQ(count_code_points("abc"), 3U);
  EXPECT_EQ(count_code_points("5 °C ≤ 7"), 8U);
  EXPECT_EQ(count_code_points(""), 0U);
}

TEST(Source, PlacesAreColumnsOfCodePointsFromOne) {
  const std::string_view text = "5 °C ≤ 7";
  const std::uint32_t at = static_cast<std::uint32_t>(text.find("≤"));
  EXPECT_EQ(place_in(text, {at, at + 3}), (Place{"", 1, 6, 1}));
  EXPECT_EQ(place_in(text, {0, 5}), (Place{"", 1, 1, 4}));
}

TEST(Source, APlaceIsAtLeastOneLong) { EXPECT_EQ(place_in("ab", {2, 2}), (Place{"", 1, 3, 1})); }

TEST(Source, DrawsACaretUnderTheLine) {
  EXPECT_EQ(render_fault(fault_in_file(13, 1), "temperature = 5 degC"),
            "site.yaml:14:13: error: `=` alone compares nothing\n"
            "temperature = 5 degC\n"
            "            ^\n"
            "hint: write `==`");
}

TEST(Source, DrawsTildesToTheEndOfTheSpan) {
  EXPECT_EQ(render_fault(fault_in_file(15, 6, ""), "temperature > 5 degC"),
            "site.yaml:14:15: error: `=` alone compares nothing\n"
            "temperature > 5 degC\n"
            "              ^~~~~~");
}

TEST(Source, TabsAreOneSpaceAndCodePointsOneColumn) {
  EXPECT_EQ(render_fault(fault_in_file(7, 2, ""), "\t5 °C ≤\t7"),
            "site.yaml:14:7: error: `=` alone compares nothing\n"
            " 5 °C ≤ 7\n"
            "      ^~");
}

TEST(Source, ASpanNeverLeavesItsLine) {
  EXPECT_EQ(render_fault(fault_in_file(3, 400, ""), "abcd"),
            "site.yaml:14:3: error: `=` alone compares nothing\n"
            "abcd\n"
            "  ^~");
  EXPECT_EQ(render_fault(fault_in_file(99, 1, ""), "abcd"),
            "site.yaml:14:99: error: `=` alone compares nothing\n"
            "abcd\n"
            "    ^");
}

TEST(Source, AFaultWithoutAPlaceHasNoLine) {
  EXPECT_EQ(render_fault(Fault{{}, "no such file", "look again", Severity::error}, "x"),
            "error: no such file\nhint: look again");
}

TEST(Source, AWarningSaysSo) {
  EXPECT_EQ(render_fault(Fault{{"", 1, 2, 1}, "it may chatter", "", Severity::warning}, "ab"),
            "1:2: warning: it may chatter\nab\n ^");
}

TEST(Source, LongTextIsQuotedShort) {
  const std::string text = quote(std::string(100, 'a'));
  EXPECT_EQ(text, "`" + std::string(80, 'a') + " …`");
}

}  // namespace
}  // namespace overwinter
