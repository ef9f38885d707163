// Each broken file under tests/config/faults, with the whole text that is told about it. `#=== NAME` begins a further
// file.
#include <gtest/gtest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "config/site_file.h"
#include "tests/config/golden.h"
#include "tests/places.h"

namespace overwinter {
namespace {

const std::filesystem::path folder = places::repository() / "tests/config/faults";

FilesInMemory split(const std::string& text) {
  FilesInMemory source;
  std::string name = "site.yaml";
  std::size_t begin = 0;
  const std::string mark = "#=== ";
  while (true) {
    std::size_t next = text.find(mark, begin);
    source.files[name] = text.substr(begin, next - begin);
    if (next == std::string::npos) return source;
    const std::size_t end = text.find('\n', next);
    name = text.substr(next + mark.size(), end - next - mark.size());
    begin = end + 1;
  }
}

std::vector<std::string> cases() {
  std::vector<std::string> names;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    if (entry.path().extension() == ".yaml") names.push_back(entry.path().stem().string());
  }
  std::ranges::sort(names);
  return names;
}

class SiteFaults : public testing::TestWithParam<std::string> {};

TEST_P(SiteFaults, AreToldAsExpected) {
  const LoadedSite site = load_site("site.yaml", split(read_whole_file(folder / (GetParam() + ".yaml"))));
  const bool only_warnings = GetParam().starts_with("warning");
  EXPECT_EQ(site.sound(), only_warnings);
  EXPECT_FALSE(site.faults.empty());
  expect_golden(folder / (GetParam() + ".expected"), render_faults(site));
}

INSTANTIATE_TEST_SUITE_P(Case, SiteFaults, testing::ValuesIn(cases()), [](const auto& test) { return test.param; });

TEST(SiteFaultCases, AreManyEnough) { EXPECT_GE(cases().size(), 60U); }

}  // namespace
}  // namespace overwinter
