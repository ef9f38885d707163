// What depends on whether a person sits at a terminal.
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>

#include "daemon/command_explain.h"
#include "daemon/command_replay.h"
#include "tests/places.h"

namespace overwinter {
namespace {

const std::filesystem::path console_data = places::repository() / "tests/daemon/data";

struct Screen {
  int code = 0;
  std::string out, err;
};

Screen replay_as(const ReplayOptions& options, bool out_is_terminal, bool err_is_terminal) {
  std::ostringstream out, err;
  const int code = replay(options, Console{out, err, out_is_terminal, err_is_terminal});
  return {code, out.str(), err.str()};
}

ReplayOptions console_morning() {
  ReplayOptions options;
  options.site = (console_data / "site.yaml").string();
  options.files = {(console_data / "morning.jsonl").string()};
  return options;
}

// 30,000 lines: more than one step of the progress.
std::filesystem::path long_capture() {
  const std::filesystem::path path = std::filesystem::path(testing::TempDir()) / "overwinter_long_capture.jsonl";
  std::ofstream out(path);
  for (int i = 0; i < 30'000; ++i) out << R"({"at":"2026-12-01T08:00:00Z","topic":"nobody","payload":""})" << '\n';
  return path;
}

TEST(Console, APipeGetsJsonAndATerminalGetsWords) {
  ReplayOptions options = console_morning();
  const std::string piped = replay_as(options, false, false).out;
  EXPECT_TRUE(piped.starts_with("{\"at\":")) << piped;
  EXPECT_NE(replay_as(options, true, false).out.find("Alder Bend watched"), std::string::npos);
  options.json = true;
  EXPECT_EQ(replay_as(options, true, false).out, piped);
}

TEST(Console, ProgressIsShownOnATerminalOnly) {
  ReplayOptions options = console_morning();
  options.files = {long_capture().string()};
  EXPECT_EQ(replay_as(options, false, false).err, "");
  EXPECT_EQ(replay_as(options, true, false).err, "") << "standard error goes to a file";
  const Screen watched = replay_as(options, false, true);
  EXPECT_NE(watched.err.find("20000 lines, "), std::string::npos) << watched.err;
  EXPECT_TRUE(watched.err.ends_with('\r')) << "what follows stands on a line of its own";
  std::filesystem::remove(options.files.front());
}

TEST(Console, AnOutputThatCannotBeWrittenIsTold) {
  std::ofstream full("/dev/full");
  if (!full) GTEST_SKIP() << "no /dev/full here";
  std::ostringstream err;
  ReplayOptions options = console_morning();
  options.summary = true;
  EXPECT_EQ(replay(options, Console{full, err}), exit_no);
  EXPECT_EQ(err.str(), "error: the output could not be written\n");
}

// Without a lay-up in the site file and without a message there is no instant but the present one.
TEST(Console, ExplainWithoutAMessageStandsInThePresentNotIn1970) {
  std::ostringstream out, err;
  ExplainOptions options;
  options.site = (console_data / "by_hand_site.yaml").string();
  options.now = *parse_rfc3339("2026-11-25T12:00:00Z");
  EXPECT_EQ(explain_gear(options, Console{out, err}), exit_done);
  EXPECT_EQ(err.str(), "no message was read: as the site file stands, on Wed Nov 25 2026\n");
  EXPECT_EQ(out.str().find("1970"), std::string::npos);
}

}  // namespace
}  // namespace overwinter
