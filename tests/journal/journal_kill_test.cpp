// kill -9 at any moment: what the program was told to be committed is in the file, in order and without a gap.
#include <gtest/gtest.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdlib>
#include <cstring>
#include <iostream>
#include <random>

#include "daemon/journal.h"
#include "tests/journal/journal_contents.h"
#include "tests/journal/temporary_folder.h"
#include "tests/winter/splitmix.h"

namespace overwinter {
namespace {

std::string kill_payload(std::uint64_t number) {
  return std::to_string(number) + std::string(number * 977 % 9000, 'p');
}

// What the child says after a commit: the last input and how many notices there are by then.
struct Said {
  std::uint64_t number = 0, notices = 0;
};

// Commits until it is killed. Runs in a process of its own.
[[noreturn]] void write_for_ever(const std::string& file, int tell, std::uint64_t seed) {
  SplitMix random(seed);
  const Journal::Opened opened = Journal::open(file, test_start());
  if (!opened.journal || !opened.said.empty()) ::_exit(3);
  Journal& journal = *opened.journal;
  Said said{journal.last_number(), journal.outbox()->size()};
  for (;;) {
    for (std::uint64_t n = 1 + random.next() % 8; n > 0; --n) {
      ++said.number;
      journal.add(message(said.number, "t" + std::to_string(said.number % 5), kill_payload(said.number)));
    }
    std::vector<OutboxEntry> outbox;
    const bool is_synced = random.next() % 3 == 0;
    if (is_synced) outbox.push_back({0, "notice", std::to_string(++said.notices), {}, {}});
    if (!journal.commit({}, outbox, is_synced)) ::_exit(4);
    if (random.next() % 10 == 0 && !journal.save_snapshot(said.number, kill_payload(said.number))) ::_exit(5);
    if (::write(tell, &said, sizeof said) != sizeof said) ::_exit(6);
  }
}

// Lets a child write, kills it while it goes on, and hands back the last thing that it said.
Said killed_while_writing(const std::string& file, SplitMix& random) {
  int ends[2];
  if (::pipe(ends) != 0) return {};
  const std::uint64_t seed = random.next();
  const pid_t child = ::fork();
  if (child == 0) write_for_ever(file, ends[1], seed);
  ::close(ends[1]);
  Said last, said;
  const std::uint64_t enough = 1 + random.next() % 12;
  for (std::uint64_t told = 0; ::read(ends[0], &said, sizeof said) == sizeof said; ++told) {
    last = said;
    if (told + 1 != enough) continue;
    std::uint64_t turned = 0;  // some time, at most a few commits long
    for (std::uint64_t turns = random.next() % 2'000'000; turns > 0; --turns) turned ^= random.next();
    if (turned == 1) std::cout << "\n";
    ::kill(child, SIGKILL);  // what it said meanwhile is still in the pipe
  }
  ::close(ends[0]);
  int status = 0;
  ::waitpid(child, &status, 0);
  EXPECT_TRUE(WIFSIGNALED(status)) << "the child ended by itself with " << WEXITSTATUS(status);
  return last;
}

TEST(JournalOfAKilledProgram, HoldsEverythingThatWasCommittedWithoutAGap) {
  const char* given = std::getenv("OVERWINTER_SEED");
  const std::uint64_t seed = given == nullptr ? std::random_device{}() : std::strtoull(given, nullptr, 10);
  std::cout << "OVERWINTER_SEED=" << seed << "\n";
  SCOPED_TRACE("OVERWINTER_SEED=" + std::to_string(seed));
  SplitMix random(seed);
  TemporaryFolder folder;
  const std::string file = folder / "a.sqlite";
  for (int kill = 0; kill < 25; ++kill) {
    SCOPED_TRACE(kill);
    const Said said = killed_while_writing(file, random);
    ASSERT_GT(said.number, 0U);
    Journal::Opened opened = Journal::open(file, test_start());
    ASSERT_NE(opened.journal, nullptr) << opened.said;
    ASSERT_EQ(opened.said, "");
    std::uint64_t number = 0;
    bool is_whole = true;
    ASSERT_TRUE(opened.journal->each_input_after(0, [&](const JournaledInput& input) {
      is_whole = is_whole && input.number == ++number && input.payload == kill_payload(number);
    }));
    EXPECT_TRUE(is_whole);
    EXPECT_GE(number, said.number);
    EXPECT_EQ(opened.journal->last_number(), number);
    const auto outbox = opened.journal->outbox();
    ASSERT_GE(outbox->size(), said.notices);
    for (std::size_t i = 0; i < outbox->size(); ++i) EXPECT_EQ((*outbox)[i].payload, std::to_string(i + 1));
    const auto saved = opened.journal->snapshot();
    EXPECT_TRUE(saved->bytes.empty() || saved->bytes == kill_payload(saved->number));
    EXPECT_LE(saved->number, number);
  }
}

}  // namespace
}  // namespace overwinter
