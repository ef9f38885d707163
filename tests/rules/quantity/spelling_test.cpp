#include "rules/quantity/spelling.h"

#include <array>

#include "tests/test_headers.h"

namespace overwinter {
namespace {

// "kitten" to "sitting" in three, the textbook example (common knowledge, no source).
TEST(EditDistance, CountsEditsAndSwaps) {
  EXPECT_EQ(edit_distance("kitten", "sitting"), 3u);
  EXPECT_EQ(edit_distance("", "abc"), 3u);
  EXPECT_EQ(edit_distance("preasure", "pressure"), 1u);
  EXPECT_EQ(edit_distance("presusre", "pressure"), 1u);
  EXPECT_EQ(edit_distance("same", "same"), 0u);
}

TEST(NearestWord, FindsASlipAndNothingElse) {
  constexpr std::array<std::string_view, 4> words{"pressure", "temperature", "voltage", "V"};
  EXPECT_EQ(nearest_word("presure", words), "pressure");
  EXPECT_EQ(nearest_word("temprature", words), "temperature");
  EXPECT_EQ(nearest_word("humidity", words), std::nullopt);
  EXPECT_EQ(nearest_word("x", words), std::nullopt);
  EXPECT_EQ(nearest_word("", words), std::nullopt);
  EXPECT_EQ(nearest_word(std::string(1000, 'p'), words), std::nullopt);
}

RC_GTEST_PROP(EditDistance, IsSymmetric, (const std::string& a, const std::string& b)) {
  RC_ASSERT(edit_distance(a, b) == edit_distance(b, a));
  RC_ASSERT((edit_distance(a, b) == 0) == (a == b));
}

}  // namespace
}  // namespace overwinter
