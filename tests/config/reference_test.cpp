// The checked-in documents are what the key tables say.
#include "config/reference.h"

#include <gtest/gtest.h>

#include "tests/config/golden.h"

namespace overwinter {
namespace {

const std::filesystem::path root = OVERWINTER_SOURCE_DIR;

TEST(ReferencePage, IsWhatTheTablesSay) { expect_golden(root / "docs/site-file.md", reference_page()); }
TEST(JsonSchema, IsWhatTheTablesSay) { expect_golden(root / "config/schema/site.schema.json", json_schema()); }

}  // namespace
}  // namespace overwinter
