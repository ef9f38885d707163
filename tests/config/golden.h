// Texts that are checked in: compared, or rewritten when OVERWINTER_REWRITE=1 is set. Never rewritten when CI is set.
#pragma once

#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>

namespace overwinter {

inline std::string read_whole_file(const std::filesystem::path& path) {
  std::ifstream in(path, std::ios::binary);
  std::stringstream text;
  text << in.rdbuf();
  return text.str();
}

inline void expect_golden(const std::filesystem::path& path, const std::string& text) {
  const char* rewrite = std::getenv("OVERWINTER_REWRITE");
  if (rewrite && std::string(rewrite) == "1") {
    ASSERT_EQ(std::getenv("CI"), nullptr) << "golden files are not rewritten when CI is set";
    std::ofstream(path, std::ios::binary) << text;
    return;
  }
  ASSERT_TRUE(std::filesystem::exists(path)) << path << ": OVERWINTER_REWRITE=1 writes it";
  EXPECT_EQ(read_whole_file(path), text) << path;
}

}  // namespace overwinter
