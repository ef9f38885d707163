// The journal on a disk that is full, breaks, or loses its power.
#include <gtest/gtest.h>

#include <cstdlib>

#include "daemon/journal.h"
#include "tests/journal/disk_in_memory.h"
#include "tests/journal/journal_contents.h"
#include "tests/journal/temporary_folder.h"

namespace overwinter {
namespace {

std::string disk_payload(std::uint64_t number) {
  return std::to_string(number) + std::string(number * 131 % 3000, 'p');
}

TEST(JournalOnAFullDisk, LosesNothingAndGoesOnWhenThereIsRoom) {
  TemporaryFolder folder;  // of the lock alone
  DiskInMemory disk;
  const std::string file = folder / "a.sqlite";
  auto journal = open_sound(file);
  ASSERT_NE(journal, nullptr);
  journal->add(message(1, "t", disk_payload(1)));
  std::vector<OutboxEntry> first{{0, "notice", "first", {}, {}}};
  ASSERT_TRUE(journal->commit({}, first, true));
  ASSERT_TRUE(journal->remember_retained({"old"}));

  disk.set_room(disk.bytes_used() + 100);
  for (std::uint64_t n = 2; n <= 40; ++n) journal->add(message(n, n % 2 == 0 ? "t" : "new topic", disk_payload(n)));
  Event event;
  event.at = test_start();
  std::vector<OutboxEntry> second{{0, "notice", "second", {}, {}}, {0, "answer", "third", {}, {}, "not in the file"}};
  const Result<void> refused = journal->commit({event}, second, true);
  ASSERT_FALSE(refused);
  EXPECT_NE(refused.error().text.find("full"), std::string::npos) << refused.error().text;
  EXPECT_EQ(journal->waiting(), 39U);
  EXPECT_GT(second[0].id, first[0].id);
  EXPECT_FALSE(journal->save_snapshot(40, std::string(50'000, 's')));
  EXPECT_FALSE(journal->remember_retained({"new"}));
  EXPECT_FALSE(journal->forget_retained("old"));
  // The broker takes one of each sort: both are done, though the file cannot be told of it.
  EXPECT_FALSE(journal->delivered(first[0].id));
  EXPECT_TRUE(journal->delivered(second[0].id));
  const auto left = journal->outbox();
  ASSERT_EQ(left->size(), 1U);
  EXPECT_EQ((*left)[0].payload, "third");
  EXPECT_EQ((*left)[0].until_written, "not in the file");
  EXPECT_EQ(*journal->retained_ever(), std::vector<std::string>{"new"});

  disk.set_room(UINT64_MAX);
  ASSERT_TRUE(commit(*journal, true));
  EXPECT_EQ(journal->waiting(), 0U);
  EXPECT_EQ(journal->lost(), 0U);
  journal.reset();
  journal = open_sound(file);
  const auto got = inputs_after(*journal, 0);
  ASSERT_EQ(got.size(), 40U);
  for (const JournaledInput& input : got) EXPECT_TRUE(input.payload == disk_payload(input.number)) << input.number;
  ASSERT_EQ(journal->outbox()->size(), 1U);
  EXPECT_EQ((*journal->outbox())[0].payload, "third");
  EXPECT_EQ((*journal->outbox())[0].until_written, "");
  EXPECT_EQ(*journal->retained_ever(), std::vector<std::string>{"new"});
  EXPECT_EQ(asked_with_sqlite(file, "SELECT count(*) || ' ' || max(number) FROM events"), "1 40");
}

TEST(JournalThatCannotBeWrittenForLong, DropsTheOldestAndCountsThem) {
  TemporaryFolder folder;
  DiskInMemory disk;
  const auto journal = open_sound(folder / "a.sqlite");
  disk.set_room(disk.bytes_used());
  for (std::uint64_t n = 1; n <= 100'250; ++n) journal->add(message(n, "t", "1"));
  EXPECT_FALSE(commit(*journal));
  EXPECT_EQ(journal->waiting(), 100'000U);
  EXPECT_EQ(journal->lost(), 250U);
  disk.set_room(UINT64_MAX);
  ASSERT_TRUE(commit(*journal));
  EXPECT_EQ(inputs_after(*journal, 0).front().number, 251U);
}

TEST(JournalThatCannotBeWrittenForLong, HoldsNoMoreThanThirtyTwoMebibytes) {
  TemporaryFolder folder;
  DiskInMemory disk;
  const auto journal = open_sound(folder / "a.sqlite");
  disk.set_room(disk.bytes_used());
  const std::string large(std::size_t{64} << 10, 'x');
  for (std::uint64_t n = 1; n <= 600; ++n) journal->add(message(n, "camera", large));
  EXPECT_LE(journal->waiting_bytes(), std::size_t{32} << 20);
  EXPECT_GT(journal->waiting(), 500U);
  EXPECT_EQ(journal->waiting() + journal->lost(), 600U);
  disk.set_room(UINT64_MAX);
  ASSERT_TRUE(commit(*journal));
  EXPECT_EQ(journal->waiting_bytes(), 0U);
  EXPECT_EQ(inputs_after(*journal, 0).back().number, 600U);
}

TEST(JournalOnABrokenDisk, FaultsAndNeverCrashes) {
  for (std::uint64_t operations = 0; operations < 60; ++operations) {
    SCOPED_TRACE(operations);
    TemporaryFolder folder;
    DiskInMemory disk;
    disk.break_after(operations);
    Journal::Opened opened = Journal::open(folder / "a.sqlite", test_start());
    if (!opened.journal) {
      EXPECT_EQ(opened.trouble, Journal::Trouble::unusable);
      EXPECT_NE(opened.said, "");
      continue;
    }
    bool has_faulted = false;
    for (std::uint64_t n = 1; n <= 30; ++n) {
      opened.journal->add(message(n, "t", disk_payload(n)));
      has_faulted = has_faulted || !commit(*opened.journal, true);
    }
    EXPECT_TRUE(has_faulted);
    disk.break_after(UINT64_MAX);  // as after a cable that was loose
    ASSERT_TRUE(commit(*opened.journal, true));
    EXPECT_EQ(inputs_after(*opened.journal, 0).size(), 30U);
  }
}

TEST(JournalInAPowerCut, HoldsAPrefixWithEverythingThatWasSynced) {
  const char* given = std::getenv("OVERWINTER_SEED");
  const std::uint64_t seed = given == nullptr ? 20261031 : std::strtoull(given, nullptr, 10);
  SplitMix random(seed);
  std::uint64_t unsynced_lost = 0;
  for (int life = 0; life < 120; ++life) {
    SCOPED_TRACE("seed " + std::to_string(seed) + ", life " + std::to_string(life));
    TemporaryFolder folder;
    DiskInMemory disk;
    const std::string file = folder / "a.sqlite";
    std::uint64_t synced = 0;
    for (int boot = 0; boot < 6; ++boot) {
      Journal::Opened opened = Journal::open(file, test_start());
      ASSERT_NE(opened.journal, nullptr) << opened.said;
      ASSERT_EQ(opened.said, "") << "a power cut is no damage";
      const auto got = inputs_after(*opened.journal, 0);
      ASSERT_GE(got.size(), synced) << "what was synced is lost";
      for (std::size_t i = 0; i < got.size(); ++i) {
        ASSERT_EQ(got[i].number, i + 1) << "a gap";
        ASSERT_TRUE(got[i].payload == disk_payload(i + 1));
      }
      // Each synced commit told one thing: all of them are there still, and in order.
      disk.break_after(1 + random.next() % 400);
      std::uint64_t number = opened.journal->last_number(), committed = number;
      while (!disk.is_broken()) {
        for (std::uint64_t n = 1 + random.next() % 6; n > 0; --n) {
          ++number;
          opened.journal->add(message(number, "t" + std::to_string(number % 7), disk_payload(number)));
        }
        const bool is_synced = random.next() % 4 == 0;
        if (random.next() % 16 == 0) {
          if (opened.journal->save_snapshot(number, disk_payload(number))) synced = committed = number;
        } else if (commit(*opened.journal, is_synced)) {
          committed = number;
          if (is_synced) synced = number;
        }
      }
      opened.journal.reset();
      disk.cut_power(random);
      unsynced_lost += committed - synced;
    }
  }
  EXPECT_GT(unsynced_lost, 100U) << "the cuts came too seldom between syncs to show anything";
}

}  // namespace
}  // namespace overwinter
