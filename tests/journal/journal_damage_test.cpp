// The journal in bad days: files that are damaged, foreign, too new, or may not be written.
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <functional>
#include <sstream>

#include "daemon/journal.h"
#include "tests/journal/journal_contents.h"
#include "tests/journal/temporary_folder.h"

namespace overwinter {
namespace {

std::string bytes_of(const std::filesystem::path& file) {
  std::ostringstream out;
  out << std::ifstream(file, std::ios::binary).rdbuf();
  return std::move(out).str();
}

void write_bytes(const std::filesystem::path& file, const std::string& bytes) {
  std::ofstream(file, std::ios::binary) << bytes;
}

// A journal of some dozen pages, closed.
std::string a_journal(const std::string& file) {
  const auto journal = open_sound(file);
  for (std::uint64_t n = 1; n <= 400; ++n) journal->add(message(n, "yard/weather", std::string(300, 'w')));
  EXPECT_TRUE(commit(*journal, true));
  EXPECT_TRUE(journal->save_snapshot(400, std::string(20'000, 's')));
  return file;
}

std::string filled_page(std::string bytes, std::size_t from, std::size_t count) {
  for (std::size_t i = from; i < std::min(bytes.size(), from + count); ++i) bytes[i] = static_cast<char>(0x5A + i * 37);
  return bytes;
}

std::vector<std::string> files_in(const TemporaryFolder& folder) {
  std::vector<std::string> names;
  for (const auto& entry : std::filesystem::directory_iterator(folder.path())) {
    names.push_back(entry.path().filename().string());
  }
  return names;
}

struct Damage {
  const char* name;
  std::function<std::string(const std::string&)> does;
};
void PrintTo(const Damage& damage, std::ostream* out) { *out << damage.name; }

class DamagedJournal : public testing::TestWithParam<Damage> {};

TEST_P(DamagedJournal, IsMovedAsideWholeAndSaidSo) {
  TemporaryFolder folder;
  const std::string file = a_journal(folder / "a.sqlite");
  const std::string damaged = GetParam().does(bytes_of(file));
  write_bytes(file, damaged);
  for (int round = 1; round <= 2; ++round) {  // twice at one instant: a clock that begins at the same time at each boot
    if (round == 2) write_bytes(file, damaged);
    Journal::Opened opened = Journal::open(file, test_start());
    ASSERT_NE(opened.journal, nullptr) << opened.said;
    EXPECT_EQ(opened.trouble, Journal::Trouble::none);
    const std::string aside = file + ".damaged-2026-10-31T18:00:00Z" + (round == 2 ? "-2" : "");
    EXPECT_NE(opened.said.find("was damaged"), std::string::npos) << opened.said;
    EXPECT_NE(opened.said.find(aside), std::string::npos) << opened.said;
    EXPECT_EQ(opened.said.find('\n'), std::string::npos) << opened.said;
    EXPECT_NE(opened.findings, "");
    EXPECT_EQ(opened.said.find(opened.findings), std::string::npos) << "for the log alone";
    EXPECT_TRUE(bytes_of(aside) == damaged) << "not a byte of it is changed";
    EXPECT_EQ(opened.journal->last_number(), 0U);
    opened.journal->add(message(1, "t", "1"));
    EXPECT_TRUE(commit(*opened.journal, true));
  }
  EXPECT_EQ(inputs_after(*open_sound(file), 0).size(), 1U);
}

INSTANTIATE_TEST_SUITE_P(
    OfEverySort, DamagedJournal,
    testing::Values(Damage{"Empty", [](const std::string&) { return std::string(); }},
                    Damage{"CutInItsFirstPage", [](const std::string& b) { return b.substr(0, 1000); }},
                    Damage{"CutInTheMiddle", [](const std::string& b) { return b.substr(0, b.size() / 2 + 777); }},
                    Damage{"HeaderOverwritten", [](const std::string& b) { return filled_page(b, 0, 100); }},
                    Damage{"FirstPageOverwritten", [](const std::string& b) { return filled_page(b, 100, 3996); }},
                    Damage{"APageOfGarbage", [](const std::string& b) { return filled_page(b, 4096 * 12, 4096); }},
                    Damage{"Zeros", [](const std::string& b) { return std::string(b.size(), '\0'); }},
                    Damage{"NotADataBase", [](const std::string&) { return std::string(9000, '\x01'); }}),
    [](const auto& sort) { return std::string(sort.param.name); });

TEST(DamagedJournalWithALog, KeepsTheLogBesideIt) {
  TemporaryFolder folder;
  const std::string file = folder / "a.sqlite", killed = folder / "killed.sqlite";
  {
    const auto journal = open_sound(file);
    for (std::uint64_t n = 1; n <= 50; ++n) journal->add(message(n, "t", std::string(300, 'w')));
    ASSERT_TRUE(commit(*journal, true));
    std::filesystem::copy_file(file + "-wal", killed + "-wal");  // as a kill leaves it
  }
  const std::string log = bytes_of(killed + "-wal");
  ASSERT_GT(log.size(), 10'000U);
  write_bytes(killed, "");
  Journal::Opened opened = Journal::open(killed, test_start());
  ASSERT_NE(opened.journal, nullptr) << opened.said;
  EXPECT_NE(opened.said.find("was damaged"), std::string::npos) << opened.said;
  EXPECT_TRUE(bytes_of(killed + ".damaged-2026-10-31T18:00:00Z-wal") == log);
}

TEST(JournalOfANewerVersion, IsRefusedAndLeftAlone) {
  TemporaryFolder folder;
  const std::string file = a_journal(folder / "a.sqlite");
  ASSERT_EQ(asked_with_sqlite(file, "PRAGMA user_version = 1000"), "");
  const std::string before = bytes_of(file);
  const Journal::Opened opened = Journal::open(file, test_start());
  EXPECT_EQ(opened.journal, nullptr);
  EXPECT_EQ(opened.trouble, Journal::Trouble::unusable);
  EXPECT_NE(opened.said.find("newer version"), std::string::npos) << opened.said;
  EXPECT_TRUE(bytes_of(file) == before);
  for (const std::string& name : files_in(folder)) EXPECT_EQ(name.find("damaged"), std::string::npos) << name;
}

TEST(DataBaseOfAnotherProgram, IsRefusedAndLeftAlone) {
  TemporaryFolder folder;
  const std::string file = folder / "a.sqlite";
  write_bytes(file, "");
  ASSERT_EQ(asked_with_sqlite(file, "CREATE TABLE recipes (name); INSERT INTO recipes VALUES ('soup')"), "");
  const std::string before = bytes_of(file);
  const Journal::Opened opened = Journal::open(file, test_start());
  EXPECT_EQ(opened.journal, nullptr);
  EXPECT_NE(opened.said.find("another program"), std::string::npos) << opened.said;
  EXPECT_TRUE(bytes_of(file) == before);
}

// Named by mistake: the site file, say.
TEST(TextFile, IsRefusedAndLeftAlone) {
  TemporaryFolder folder;
  const std::string file = folder / "site.yaml";
  write_bytes(file, "site: {id: alder_bend, local_time: America/Winnipeg}\n");
  const Journal::Opened opened = Journal::open(file, test_start());
  EXPECT_EQ(opened.journal, nullptr);
  EXPECT_NE(opened.said.find("it is a text file and no journal"), std::string::npos) << opened.said;
  EXPECT_EQ(bytes_of(file), "site: {id: alder_bend, local_time: America/Winnipeg}\n");
  for (const std::string& name : files_in(folder)) EXPECT_EQ(name.find("damaged"), std::string::npos) << name;
}

TEST(JournalThatIsAFolder, SaysSo) {
  TemporaryFolder folder;
  const Journal::Opened opened = Journal::open(folder / ".", test_start());
  EXPECT_EQ(opened.journal, nullptr);
  EXPECT_NE(opened.said.find("it is a folder; name a file in it"), std::string::npos) << opened.said;
}

TEST(JournalInNoFolder, SaysSo) {
  TemporaryFolder folder;
  const Journal::Opened opened = Journal::open(folder / "not/there/a.sqlite", test_start());
  EXPECT_EQ(opened.journal, nullptr);
  EXPECT_EQ(opened.trouble, Journal::Trouble::unusable);
  EXPECT_NE(opened.said.find("No such file or directory"), std::string::npos) << opened.said;
}

// What a process without rights is told; root may write everywhere, so a child puts its rights down first.
std::string said_without_rights(const std::string& file) {
  int ends[2];
  if (::pipe(ends) != 0) return "no pipe";
  const pid_t child = ::fork();
  if (child == 0) {
    if (::geteuid() == 0 && ::setuid(65534) != 0) ::_exit(1);
    const Journal::Opened opened = Journal::open(file, test_start());
    const std::string said = (opened.journal ? "opened: " : "refused: ") + opened.said;
    const auto written = ::write(ends[1], said.data(), said.size());
    ::_exit(written < 0 ? 1 : 0);
  }
  ::close(ends[1]);
  std::string said;
  char part[512];
  for (ssize_t n = ::read(ends[0], part, sizeof part); n > 0; n = ::read(ends[0], part, sizeof part)) {
    said.append(part, static_cast<std::size_t>(n));
  }
  ::close(ends[0]);
  int status = 0;
  ::waitpid(child, &status, 0);
  return said;
}

using std::filesystem::perms;

TEST(JournalInAReadOnlyFolder, SaysSoAndTouchesNothing) {
  TemporaryFolder folder;
  std::filesystem::permissions(folder.path(), perms::owner_read | perms::owner_exec | perms::others_read |
                                                  perms::others_exec | perms::group_read | perms::group_exec);
  const std::string said = said_without_rights(folder / "a.sqlite");
  EXPECT_NE(said.find("refused: "), std::string::npos) << said;
  EXPECT_NE(said.find("Permission denied"), std::string::npos) << said;
  std::filesystem::permissions(folder.path(), perms::owner_all);
}

TEST(ReadOnlyJournal, SaysSoAndIsNotMovedAside) {
  TemporaryFolder folder;
  const std::string file = a_journal(folder / "a.sqlite");
  std::filesystem::permissions(folder.path(), perms::all);
  std::filesystem::permissions(file + ".lock", perms::all);
  std::filesystem::permissions(file, perms::owner_read | perms::group_read | perms::others_read);
  const std::string before = bytes_of(file), said = said_without_rights(file);
  EXPECT_NE(said.find("refused: "), std::string::npos) << said;
  EXPECT_NE(said.find("read-only"), std::string::npos) << said;
  EXPECT_TRUE(bytes_of(file) == before);
  for (const std::string& name : files_in(folder)) EXPECT_EQ(name.find("damaged"), std::string::npos) << name;
}

// A worn card loses a page while the service runs: what stands behind that page is taken all the same.
TEST(PageLostLater, CostsWhatItHeldAndNotWhatStandsBehindIt) {
  constexpr std::uint64_t messages = 20'000;  // more than SQLite keeps in memory
  TemporaryFolder folder;
  const std::string file = folder / "a.sqlite";
  {
    const auto journal = open_sound(file);
    for (std::uint64_t n = 1; n <= messages; ++n) journal->add(message(n, "yard/weather", std::string(300, 'w')));
    ASSERT_TRUE(commit(*journal, true));
  }
  const auto journal = open_sound(file);
  {
    std::fstream lost(file, std::ios::binary | std::ios::in | std::ios::out);
    lost.seekp(static_cast<std::streamoff>(std::filesystem::file_size(file) / 4 / 4096 * 4096));
    lost << std::string(4096, '\x5A');
  }
  journal->add(message(messages + 1, "yard/weather", "waits"));
  std::vector<std::uint64_t> numbers;
  const auto read = journal->each_input_after(0, [&](const JournaledInput& i) { numbers.push_back(i.number); });
  ASSERT_FALSE(read);
  EXPECT_NE(read.error().text.find("malformed"), std::string::npos) << read.error().text;
  EXPECT_LT(numbers.size(), messages + 1);
  EXPECT_GT(numbers.size(), messages - 100) << "a page holds some dozen";
  EXPECT_TRUE(std::ranges::is_sorted(numbers, std::ranges::less_equal())) << "in order, each once";
  EXPECT_EQ(numbers.back(), messages + 1);
}

}  // namespace
}  // namespace overwinter
