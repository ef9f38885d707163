// The checked-in documents are what the key tables say.
#include "config/reference.h"

#include <gtest/gtest.h>

#include "tests/config/golden.h"
#include "tests/places.h"

namespace overwinter {
namespace {

const std::filesystem::path root = places::repository();

TEST(ReferencePages, AreWhatTheTablesSay) {
  expect_golden(root / "docs/site-file.md", site_page());
  expect_golden(root / "docs/kinds.md", kinds_page());
  expect_golden(root / "docs/functions.md", functions_page());
}
TEST(JsonSchema, IsWhatTheTablesSay) { expect_golden(root / "config/schema/site.schema.json", json_schema()); }

}  // namespace
}  // namespace overwinter
