// Where the broker's password comes from.
#include "daemon/password.h"

#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>

namespace overwinter {
namespace {

class PasswordTest : public testing::Test {
 protected:
  void SetUp() override { std::filesystem::create_directories(folder); }
  void TearDown() override { std::filesystem::remove_all(folder); }
  std::string file(const std::string& name, const std::string& text) const {
    std::ofstream(folder / name, std::ios::binary) << text;
    return (folder / name).string();
  }
  BrokerSpec names(const std::string& password_file) const {
    BrokerSpec spec;
    spec.password_file = password_file;
    return spec;
  }
  std::filesystem::path folder =
      std::filesystem::temp_directory_path() / ("overwinter_password_" + std::to_string(getpid()));
};

TEST_F(PasswordTest, IsTheFirstLineOfTheFileThatTheSiteNames) {
  EXPECT_EQ(read_password(names(file("a", "frost in April\n")), ""), "frost in April");
  EXPECT_EQ(read_password(names(file("b", "frost\r\nsecond line\n")), ""), "frost");
  EXPECT_EQ(read_password(names(file("c", " frost ")), ""), " frost ");  // spaces may belong to it
}

TEST_F(PasswordTest, ElseItIsTheServiceManagersCredential) {
  (void)file("mqtt-password", "credential\n");
  EXPECT_EQ(read_password(BrokerSpec{}, folder.string()), "credential");
  EXPECT_EQ(read_password(names(file("own", "own\n")), folder.string()), "own");
}

TEST_F(PasswordTest, NoneIsGiven) {
  EXPECT_EQ(read_password(BrokerSpec{}, ""), "");
  EXPECT_EQ(read_password(BrokerSpec{}, folder.string()), "");
  (void)file("mqtt-password", "");
  EXPECT_EQ(read_password(BrokerSpec{}, folder.string()), "");
}

TEST_F(PasswordTest, AFileThatIsMissingOrEmptyIsAFaultThatNamesIt) {
  for (const std::string& path :
       {(folder / "missing").string(), file("empty", ""), file("line", "\n"), folder.string()}) {
    const auto password = read_password(names(path), "");
    ASSERT_FALSE(password) << path;
    EXPECT_NE(password.error().text.find(path), std::string::npos);
  }
}

TEST_F(PasswordTest, WhatIsNoPasswordIsRefusedAndNotRepeated) {
  for (const std::string& text : {std::string("se\0cret\n", 8), std::string(70'000, 's')}) {
    const auto password = read_password(names(file("odd", text)), "");
    ASSERT_FALSE(password);
    EXPECT_EQ((password.error().text + password.error().hint).find("cret"), std::string::npos);
  }
}

}  // namespace
}  // namespace overwinter
