// Files made to hurt, given to the program itself: each is refused at its place, with little memory and in little time.
// The limits are set for the program's process, so that one that runs away is stopped and the test fails.
#include <gtest/gtest.h>

#include <fcntl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "tests/config/golden.h"
#include "tests/places.h"

namespace overwinter {
namespace {

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
constexpr bool memory_is_our_own = false;  // a sanitizer maps terabytes, and takes its time
#elif defined(__has_feature)
#if __has_feature(address_sanitizer) || __has_feature(thread_sanitizer)
constexpr bool memory_is_our_own = false;
#else
constexpr bool memory_is_our_own = true;
#endif
#else
constexpr bool memory_is_our_own = true;
#endif

constexpr rlim_t mebibyte = 1024 * 1024;
constexpr rlim_t most_data = 48 * mebibyte;  // of 64 MB in all; the rest is code
constexpr long most_resident_kib = 64 * 1000 * 1000 / 1024;
constexpr rlim_t most_seconds = memory_is_our_own ? 4 : 40;  // of processor time

struct Ended {
  int status = -1;
  std::string text;   // standard output, then standard error
  long peak_kib = 0;  // resident at most; not below what this program held when it started the other

  bool exited_with(int code) const { return WIFEXITED(status) && WEXITSTATUS(status) == code; }
};

class HostileFile : public testing::Test {
 protected:
  HostileFile() { std::filesystem::create_directories(folder_); }
  ~HostileFile() override { std::filesystem::remove_all(folder_); }

  std::string write(const std::string& name, const std::string& text) const {
    std::ofstream(folder_ / name, std::ios::binary) << text;
    return (folder_ / name).string();
  }

  Ended run(const std::vector<std::string>& arguments, rlim_t data = most_data) const {
    const std::string program = places::overwinter(), out = (folder_ / "out").string(),
                      err = (folder_ / "err").string();
    std::vector<char*> argv{const_cast<char*>(program.c_str())};
    for (const std::string& argument : arguments) argv.push_back(const_cast<char*>(argument.c_str()));
    argv.push_back(nullptr);
    const pid_t child = fork();
    if (child == 0) {
      const rlimit memory{data, data}, seconds{most_seconds, most_seconds};
      if (memory_is_our_own) (void)setrlimit(RLIMIT_DATA, &memory);
      (void)setrlimit(RLIMIT_CPU, &seconds);
      (void)dup2(open(out.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600), STDOUT_FILENO);
      (void)dup2(open(err.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600), STDERR_FILENO);
      (void)execv(program.c_str(), argv.data());
      _exit(127);
    }
    Ended told;
    rusage usage{}, own{};
    (void)wait4(child, &told.status, 0, &usage);
    (void)getrusage(RUSAGE_SELF, &own);
    if (own.ru_maxrss < most_resident_kib) told.peak_kib = usage.ru_maxrss;
    told.text = read_whole_file(out) + read_whole_file(err);
    EXPECT_TRUE(!memory_is_our_own || told.peak_kib < most_resident_kib) << told.peak_kib << " KiB";
    return told;
  }

  void expect_refused(const std::string& text, const std::string& at) const {
    const Ended told = run({"validate", write("site.yaml", text)});
    EXPECT_TRUE(told.exited_with(1)) << told.status;
    EXPECT_NE(told.text.find("site.yaml:" + at), std::string::npos) << told.text.substr(0, 1000);
    EXPECT_LT(told.text.size(), 2'000'000U);
  }

  std::filesystem::path folder_ =
      std::filesystem::path(testing::TempDir()) / ("overwinter_hostile_" + std::to_string(getpid()));
};

constexpr std::size_t most_of_a_file = mebibyte - 100;

std::string repeat(std::string_view piece, std::size_t bytes) {
  std::string text;
  while (text.size() + piece.size() <= bytes) text += piece;
  return text;
}

// Nine levels of nine: a billion words, if anybody wrote them out.
TEST_F(HostileFile, BombOfAliases) {
  std::string bomb = "a: &a [lol, lol, lol, lol, lol, lol, lol, lol, lol]\n";
  for (char c = 'b'; c < 'k'; ++c) {
    const std::string before(1, static_cast<char>(c - 1));
    bomb += std::string(1, c) + ": &" + c + " [*" + before;
    for (int i = 1; i < 9; ++i) bomb += ", *" + before;
    bomb += "]\n";
  }
  expect_refused(bomb, "1:4: error: ");
}
TEST_F(HostileFile, CycleOfAliases) { expect_refused("a: &a\n  b: *a\n", "1:4: error: "); }
TEST_F(HostileFile, MebibyteOfBrackets) { expect_refused(std::string(most_of_a_file, '['), "1:1: error: "); }
TEST_F(HostileFile, MebibyteOfBracketsOnManyLines) {
  expect_refused(repeat("[\n", most_of_a_file), "50001:1: error: ");
}
TEST_F(HostileFile, MebibyteOfBracesOnManyLines) {
  expect_refused(repeat("{a:\n", most_of_a_file), "50001:1: error: ");
}
TEST_F(HostileFile, MebibyteOfNestedLists) { expect_refused(repeat("- ", most_of_a_file), "1:1: error: "); }
TEST_F(HostileFile, MebibyteOfListItems) {
  expect_refused("a:\n" + repeat("- b\n", most_of_a_file), "99999:3: error: ");
}
TEST_F(HostileFile, MebibyteOfDuplicateKeys) { expect_refused(repeat("a: b\n", most_of_a_file), "50000:4: error: "); }
TEST_F(HostileFile, DuplicateKey) {
  expect_refused("site: {id: home, local_time: UTC}\nsite: {id: home, local_time: UTC}\n", "2:1: error: ");
}
TEST_F(HostileFile, SecondDocument) {
  expect_refused("site: {id: home, local_time: UTC}\n---\nsite: {id: home, local_time: UTC}\n", "2:1: error: ");
}
TEST_F(HostileFile, UnterminatedQuote) { expect_refused("site: {id: \"home, local_time: UTC}\n", "1:12: error: "); }
TEST_F(HostileFile, MebibyteBehindAnUnterminatedQuote) {
  expect_refused("a: \"" + repeat("word word\n", most_of_a_file), "1:4: error: ");
}
TEST_F(HostileFile, LargerThanAMebibyte) { expect_refused(std::string(8 * mebibyte, 'a'), "1:1: error: "); }

TEST_F(HostileFile, FiveThousandBracketsInACondition) {
  for (const std::size_t depth : {std::size_t{5000}, std::size_t{2000}}) {
    const std::string condition = std::string(depth, '(') + "temperature > 5 degC" + std::string(depth, ')');
    (void)write("rules.yaml",
                "rules:\n  r:\n    applies_to: {place: camper}\n    message: m\n    raise_when: " + condition + "\n");
    const Ended told = run({"validate", write("site.yaml",
                                              "site: {id: home, local_time: UTC}\nrules_from: [rules.yaml]\n"
                                              "places: {camper: {temperature: by_hand}}\n")});
    EXPECT_TRUE(told.exited_with(1)) << told.status;
    EXPECT_NE(told.text.find("rules.yaml:5:"), std::string::npos) << told.text.substr(0, 1000);
  }
}

TEST_F(HostileFile, FiveThousandBracketsToCompute) {
  for (const char bracket : {'(', '-', '['}) {
    const Ended told = run({"compute", "1 + " + std::string(5000, bracket) + "1"});
    EXPECT_TRUE(told.exited_with(1)) << told.status;
    EXPECT_EQ(told.text.substr(0, 13), "expression:1:") << told.text.substr(0, 200);
  }
}

TEST_F(HostileFile, MebibyteOfPayloadInACapture) {
  const std::string site = write("site.yaml",
                                 "site: {id: home, local_time: UTC}\n"
                                 "places: {camper: {temperature: {topic: camper, pointer: /t, unit: degC}}}\n");
  for (const std::string& payload :
       {std::string(mebibyte, '['), repeat("{\\\"t\\\":", mebibyte), std::string(mebibyte, '7')}) {
    std::string capture;
    for (int minute = 10; minute < 20; ++minute) {
      capture += R"({"at":"2026-12-01T00:)" + std::to_string(minute) + R"(:00Z","topic":"camper","payload":")" +
                 payload + "\"}\n";
    }
    const Ended told = run({"replay", site, write("capture.jsonl", capture)});
    EXPECT_TRUE(told.exited_with(0)) << told.status << told.text.substr(0, 1000);
    EXPECT_NE(told.text.find(R"("event":"reading_rejected")"), std::string::npos) << told.text.substr(0, 1000);
    EXPECT_LT(told.text.size(), 10'000U);
  }
}

// The limit is felt: with next to nothing even a sound answer fails.
TEST_F(HostileFile, LimitsOfMemoryAreFelt) {
  if (!memory_is_our_own) GTEST_SKIP() << "a sanitizer maps its own memory";
  EXPECT_FALSE(run({"compute", "1"}, mebibyte / 4).exited_with(0));
  EXPECT_TRUE(run({"compute", "1"}).exited_with(0));
}

}  // namespace
}  // namespace overwinter
