// Manual pages and shell completion: what is checked in is what the program makes, and every command and option of the
// help stands in each of them.
#include <gtest/gtest.h>

#include <cstdio>
#include <filesystem>
#include <regex>
#include <set>
#include <string>

#include "tests/config/golden.h"
#include "tests/places.h"

namespace overwinter {
namespace {

const std::filesystem::path docs = places::repository() / "docs";

std::string output_of(const std::string& command) {
  std::string out;
  FILE* pipe = ::popen((command + " 2>&1").c_str(), "r");
  for (int c = std::fgetc(pipe); c != EOF; c = std::fgetc(pipe)) out += static_cast<char>(c);
  ::pclose(pipe);
  return out;
}
std::string overwinter(const std::string& arguments) {
  return output_of("'" + places::overwinter() + "' " + arguments);
}

std::set<std::string> matches(const std::string& text, const char* pattern) {
  const std::regex expression(pattern, std::regex::multiline);
  std::set<std::string> found;
  for (std::sregex_iterator it(text.begin(), text.end(), expression), end; it != end; ++it) found.insert((*it)[1]);
  return found;
}

std::set<std::string> commands() {
  const std::string help = overwinter("--help");
  const std::size_t begin = help.find("Subcommands:");
  return matches(help.substr(begin, help.find("\nExamples:") - begin), "^  ([a-z_]+) ");
}
std::set<std::string> options(const std::string& help) {
  return matches(help.substr(0, help.find("\nExample")), "^  (?:-h,)?(--[a-z-]+)");
}

std::string without_roff(std::string text) {
  for (std::size_t at = text.find("\\-"); at != std::string::npos; at = text.find("\\-", at)) text.erase(at, 1);
  return text;
}

TEST(CommandPages, AreWhatTheProgramMakes) {
  expect_golden(docs / "man/overwinter.1", overwinter("reference man"));
  expect_golden(docs / "completion/overwinter.bash", overwinter("reference bash"));
  expect_golden(docs / "completion/_overwinter", overwinter("reference zsh"));
  expect_golden(docs / "completion/overwinter.fish", overwinter("reference fish"));
}

TEST(CommandPages, HoldEveryCommandAndOptionOfTheHelp) {
  const std::string man = without_roff(read_whole_file(docs / "man/overwinter.1"));
  const std::string bash = read_whole_file(docs / "completion/overwinter.bash");
  const std::string zsh = read_whole_file(docs / "completion/_overwinter");
  const std::string fish = read_whole_file(docs / "completion/overwinter.fish");
  ASSERT_GE(commands().size(), 18U);
  for (const std::string& command : commands()) {
    // Each page's part about this command: from its head to the next one's.
    const auto part = [&](const std::string& page, const std::string& from, const std::string& to) {
      const std::size_t begin = page.find(from);
      EXPECT_NE(begin, std::string::npos) << from;
      return begin == std::string::npos ? std::string() : page.substr(begin, page.find(to, begin + 1) - begin);
    };
    const std::string in_man = part(man, "\n.SS " + command + "\n", "\n.S");
    const std::string in_bash = part(bash, "\n    " + command + ") ", " ;;");
    const std::string in_zsh = part(zsh, "\n    " + command + ")\n", " ;;");
    const auto all = options(overwinter(command + " --help"));
    EXPECT_TRUE(all.contains("--help")) << command;
    for (const std::string& option : all) {
      EXPECT_NE(in_man.find(option), std::string::npos) << command << ' ' << option;
      EXPECT_NE(in_bash.find(option), std::string::npos) << command << ' ' << option;
      EXPECT_NE(in_zsh.find(option), std::string::npos) << command << ' ' << option;
      EXPECT_NE(fish.find("_from " + command + "' -l " + option.substr(2)), std::string::npos) << command << option;
    }
    EXPECT_NE(overwinter(command + " --help").find("\nExample: overwinter " + command), std::string::npos) << command;
  }
}

TEST(CommandPages, TheServicesOwnPageHoldsItsOptions) {
  const std::string man = without_roff(read_whole_file(docs / "man/overwinterd.1"));
  const std::filesystem::path service = places::overwinterd();
  const auto all = options(output_of("'" + service.string() + "' --help"));
  EXPECT_GE(all.size(), 5U);
  for (const std::string& option : all) EXPECT_NE(man.find(option), std::string::npos) << option;
}

TEST(CommandPages, BashCompletesCommandsOptionsAndWords) {
  const auto complete = [](const std::string& words, int at) {
    return output_of("bash -c 'source \"" + (docs / "completion/overwinter.bash").string() +
                     "\"; COMP_WORDS=(overwinter " + words + "); COMP_CWORD=" + std::to_string(at) +
                     "; _overwinter; echo \"${COMPREPLY[*]}\"'");
  };
  EXPECT_EQ(complete("re", 1), "replay reference record\n");
  EXPECT_EQ(complete("shelve --un", 2), "--until\n");
  EXPECT_EQ(complete("season lay", 2), "lay_up\n");
}

TEST(CommandPages, ZshCompletesCommandsOptionsAndWords) {
  const std::string script = places::repository() / "tests/daemon/zsh_completes.zsh";
  EXPECT_EQ(output_of("zsh -f '" + script + "' '" + (docs / "completion").string() +
                      "' 'sea@lay@' 'shelve tire_leaking left_front_tire --un@' 'rec@' 'val@--js@'"),
            "season lay_up\nshelve tire_leaking left_front_tire --until\nrecord\nvalidate --json\n");
}

TEST(CommandPages, FishCompletesCommandsOptionsAndWords) {
  const auto complete = [](const std::string& words) {
    return output_of("HOME=/nonexistent fish --no-config -c 'source \"" +
                     (docs / "completion/overwinter.fish").string() + "\"; complete -C \"overwinter " + words +
                     "\"' 2>/dev/null | cut -f1");
  };
  EXPECT_EQ(complete("re"), "record\nreference\nreplay\n");
  EXPECT_EQ(complete("shelve --un"), "--until\n");
  EXPECT_EQ(complete("season lay"), "lay_up\n");
}

}  // namespace
}  // namespace overwinter
