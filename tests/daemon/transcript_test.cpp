// The program as a person meets it: each file under transcripts/ holds command lines (`$ ...`) and, after each, what
// they must print: standard output, standard error with `! ` before each line, and the exit code. The program runs in
// tests/daemon/data; OVERWINTER_REWRITE=1 writes the answers anew.
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <sstream>
#include <string>
#include <vector>

#include "tests/config/golden.h"
#include "tests/places.h"

namespace overwinter {
namespace {

const std::filesystem::path folder = places::repository() / "tests/daemon";

std::vector<std::string> transcript_names() {
  std::vector<std::string> names;
  for (const auto& entry : std::filesystem::directory_iterator(folder / "transcripts"))
    names.push_back(entry.path().stem().string());
  std::ranges::sort(names);
  return names;
}

std::string quoted(const std::filesystem::path& path) { return "'" + path.string() + "'"; }

// A line without an end gets one, so that what follows stands by itself.
std::string whole_lines(std::string text, std::string_view before) {
  std::istringstream in(text);
  std::string out;
  for (std::string line; std::getline(in, line);) out.append(before).append(line).append("\n");
  return out;
}

std::string answer_of(const std::string& command) {
  const std::filesystem::path scratch =
      std::filesystem::path(testing::TempDir()) / ("overwinter_transcript_" + std::to_string(getpid()));
  const std::filesystem::path out = scratch.string() + ".out", err = scratch.string() + ".err";
  const std::filesystem::path program = places::overwinter();
  const std::string line = "cd " + quoted(folder / "data") +
                           " && unset OVERWINTER_SITE && PATH=" + quoted(program.parent_path()) + ":$PATH && { " +
                           command + "; } >" + quoted(out) + " 2>" + quoted(err);
  const int status = std::system(line.c_str());
  std::string text = whole_lines(read_whole_file(out), "") + whole_lines(read_whole_file(err), "! ");
  std::filesystem::remove(out);
  std::filesystem::remove(err);
  return text + "exit " + std::to_string(WIFEXITED(status) ? WEXITSTATUS(status) : -1) + "\n";
}

class Transcript : public testing::TestWithParam<std::string> {};

TEST_P(Transcript, IsWhatTheProgramSays) {
  const std::filesystem::path path = folder / "transcripts" / (GetParam() + ".txt");
  std::istringstream in(read_whole_file(path));
  std::string text;
  for (std::string line; std::getline(in, line);) {
    if (!line.starts_with("$ ")) continue;
    if (!text.empty()) text += "\n";
    text += line + "\n" + answer_of(line.substr(2));
  }
  ASSERT_FALSE(text.empty()) << "a transcript holds at least one line that begins with `$ `";
  expect_golden(path, text);
}

INSTANTIATE_TEST_SUITE_P(Programs, Transcript, testing::ValuesIn(transcript_names()),
                         [](const auto& transcript) { return transcript.param; });

}  // namespace
}  // namespace overwinter
