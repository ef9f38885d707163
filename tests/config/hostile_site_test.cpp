// Files made to hurt: each must be refused with a place, whatever it holds.
#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <string>

#include "config/site_file.h"

namespace overwinter {
namespace {

LoadedSite load_hostile(std::string text) {
  FilesInMemory source;
  source.files["site.yaml"] = std::move(text);
  return load_site("site.yaml", source);
}

std::string repeat(std::string_view piece, std::size_t bytes) {
  std::string text;
  while (text.size() + piece.size() <= bytes) text += piece;
  return text;
}

void expect_refused(std::string text) {
  const LoadedSite site = load_hostile(std::move(text));
  ASSERT_FALSE(site.sound());
  ASSERT_FALSE(site.faults.empty());
  EXPECT_GE(site.faults[0].where.line, 1U);
  EXPECT_LT(render_faults(site).size(), 2'000'000U);
}

constexpr std::size_t megabyte = 1024 * 1024 - 100;

TEST(HostileSite, AnchorBombIsRefusedAtItsFirstAnchor) {
  std::string bomb = "a: &a [lol, lol, lol, lol, lol, lol, lol, lol, lol]\n";
  for (char c = 'b'; c < 'k'; ++c) {
    const char before = static_cast<char>(c - 1);
    bomb += std::string(1, c) + ": &" + c + " [";
    for (int i = 0; i < 9; ++i) bomb += std::string(i ? ", *" : "*") + before;
    bomb += "]\n";
  }
  const LoadedSite site = load_hostile(bomb);
  ASSERT_EQ(site.faults.size(), 1U);
  EXPECT_EQ(site.faults[0].where.line, 1U);
  EXPECT_EQ(site.faults[0].where.column, 4U);
}

TEST(HostileSite, CycleOfAliasesIsRefused) { expect_refused("a: &a\n  b: *a\n"); }
TEST(HostileSite, MegabyteOfOpeningBracketsIsRefused) { expect_refused(std::string(megabyte, '[')); }
TEST(HostileSite, MegabyteOfBracesOnManyLinesIsRefused) { expect_refused(repeat("{a:\n", megabyte)); }
TEST(HostileSite, MegabyteInOnePairOfBracketsIsRefused) { expect_refused("a: [" + repeat("b,\n", megabyte)); }
TEST(HostileSite, MegabyteOfNestedListsIsRefused) { expect_refused(repeat("- ", megabyte)); }
TEST(HostileSite, MegabyteOfDeepeningMapsIsRefused) {
  std::string text;
  for (std::size_t depth = 0; text.size() < megabyte - 1100 && depth < 1000; ++depth)
    text += std::string(depth, ' ') + "a:\n";
  expect_refused(text);
}
TEST(HostileSite, MegabyteOfListItemsIsRefused) { expect_refused("a:\n" + repeat("- b\n", megabyte)); }
TEST(HostileSite, MegabyteOfQuotesIsRefused) { expect_refused("a: " + std::string(megabyte, '"')); }
TEST(HostileSite, MegabyteOfUnterminatedTextIsRefused) { expect_refused("a: \"" + repeat("word word\n", megabyte)); }
TEST(HostileSite, MegabyteOfDuplicateKeysIsRefused) { expect_refused(repeat("a: b\n", megabyte)); }
TEST(HostileSite, MegabyteOfColonsIsRefused) { expect_refused(repeat(": ", megabyte)); }
TEST(HostileSite, MegabyteOfQuestionMarksIsRefused) { expect_refused(repeat("? ", megabyte)); }
TEST(HostileSite, MegabyteOfBlankLinesIsRefused) { expect_refused(std::string(megabyte, '\n')); }
TEST(HostileSite, MegabyteOfFoldedBlankLinesIsRefused) {
  expect_refused("a: b" + std::string(megabyte, '\n') + " c\n");
}
TEST(HostileSite, MegabyteOfGearIsRefused) {
  std::string text = "site: {id: home, local_time: UTC}\nrules_from: []\ngear:\n";
  for (int i = 0; text.size() < megabyte; ++i) text += " g" + std::to_string(i) + ": {kind: fuel}\n";
  expect_refused(text);
}
TEST(HostileSite, MoreThanAMegabyteIsRefused) { expect_refused(std::string(2 * megabyte, 'a')); }
TEST(HostileSite, MoreThanAMegabyteIsShownByItsFirstLine) {
  const std::string told = render_faults(load_hostile("site: {}\n" + repeat("a: b\n", 2 * megabyte)));
  EXPECT_NE(told.find("\nsite: {}\n^\n"), std::string::npos) << told.substr(0, 300);
}
TEST(HostileSite, NulIsRefused) { expect_refused(std::string("a: b\0c\n", 7)); }
TEST(HostileSite, Utf16IsRefused) {
  expect_refused(
      std::string("\xFF\xFE"
                  "a\0:\0",
                  6));
}
TEST(HostileSite, OverlongUtf8IsRefused) { expect_refused("a: \xC0\xAF\n"); }
TEST(HostileSite, FileThatIsNotThereIsRefusedByItsName) {
  const LoadedSite site = load_site("no/such/site.yaml", FilesInMemory{});
  ASSERT_EQ(site.faults.size(), 1U);
  EXPECT_EQ(site.faults[0].where, (Place{"no/such/site.yaml", 1, 1, 1}));
}

RC_GTEST_PROP(HostileSite, AnyBytesAreReadOrRefusedAtAPlace, (const std::string& bytes)) {
  const LoadedSite site = load_hostile(bytes);
  RC_ASSERT(!site.sound());
  RC_ASSERT(site.faults.at(0).where.line >= 1U);
}

// Pieces of YAML in any order reach deeper than any bytes.
RC_GTEST_PROP(HostileSite, PiecesOfYamlAreReadOrRefusedAtAPlace, ()) {
  static const std::vector<std::string> pieces{"site", ": ", "\n", "  ",     "- ",     "{",      "}",    "[",
                                               "]",    ", ", "\"", "'",      "# ",     "|",      ">",    "?",
                                               "&a",   "*a", "!t", "---",    "gear",   "places", "kind", "tire",
                                               "id",   "~",  "\t", "garage", "52 psi", "é",      "\\x",  "include"};
  const auto parts = *rc::gen::container<std::vector<std::string>>(rc::gen::elementOf(pieces));
  std::string text;
  for (const std::string& part : parts) text += part;
  const LoadedSite site = load_hostile(text);
  RC_ASSERT(site.sound() || site.faults.at(0).where.line >= 1U);
}

}  // namespace
}  // namespace overwinter
