// The journal in good days: what goes in comes out, in order, byte for byte.
#include "daemon/journal.h"

#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include "daemon/journal_place.h"
#include "daemon/journal_schema.h"
#include "rules/limits.h"
#include "tests/journal/journal_contents.h"
#include "tests/journal/temporary_folder.h"

namespace overwinter {
namespace {

Event raised(std::uint64_t second) {
  Event event;
  event.at = test_start() + Span(second * 1000);
  event.kind = EventKind::alarm_raised;
  event.id = "tire_below_minimum/left_rear_tire";
  return event;
}

TEST(Journal, GivesBackWhatWentInInOrder) {
  TemporaryFolder folder;
  const std::string file = folder / "a.sqlite";
  std::vector<JournaledInput> put;
  {
    const auto journal = open_sound(file);
    ASSERT_NE(journal, nullptr);
    EXPECT_EQ(journal->last_number(), 0U);
    put.push_back(message(1, "yard/weather", R"({"t":-12.5})"));
    put.push_back(message(2, "camper/door", "open"));
    put.push_back({3, test_start() + one_minute, JournaledInput::Kind::link_down, {}, {}, false});
    put.push_back(message(4, "yard/weather", R"({"t":-12.6})"));
    put.back().retained = true;
    put.push_back({5, test_start() + one_hour, JournaledInput::Kind::tick, {}, {}, false});
    for (const JournaledInput& input : put) journal->add(input);
    EXPECT_EQ(journal->waiting(), 5U);
    ASSERT_TRUE(commit(*journal));
    EXPECT_EQ(journal->waiting(), 0U);
    EXPECT_EQ(inputs_after(*journal, 0).size(), 5U);
  }
  const auto journal = open_sound(file);
  EXPECT_EQ(journal->last_number(), 5U);
  const auto got = inputs_after(*journal, 0);
  ASSERT_EQ(got.size(), put.size());
  for (std::size_t i = 0; i < put.size(); ++i) {
    EXPECT_EQ(got[i].number, put[i].number);
    EXPECT_EQ(got[i].at, put[i].at);
    EXPECT_EQ(got[i].kind, put[i].kind);
    EXPECT_EQ(got[i].topic, put[i].topic);
    EXPECT_EQ(got[i].payload, put[i].payload);
    EXPECT_EQ(got[i].retained, put[i].retained);
  }
  const auto later = inputs_after(*journal, 3);
  ASSERT_EQ(later.size(), 2U);
  EXPECT_EQ(later[0].number, 4U);
}

TEST(Journal, KeepsEveryByteOfAPayload) {
  TemporaryFolder folder;
  const std::string every_byte = [] {
    std::string bytes;
    for (int b = 0; b < 256; ++b) bytes += static_cast<char>(b);
    return bytes;
  }();
  const std::vector<std::string> payloads{"",
                                          std::string(1, '\0'),
                                          std::string("a\0b", 3),
                                          every_byte,
                                          std::string(std::size_t{1} << 20, 'x'),
                                          "21,5 \u00b0C \u5bd2\u3044 \U0001F9CA",
                                          "'; DROP TABLE inputs; --"};
  const std::string topic = "garage/t\u00fcr_\u51ac";
  {
    const auto journal = open_sound(folder / "a.sqlite");
    for (std::size_t i = 0; i < payloads.size(); ++i) journal->add(message(i + 1, topic, payloads[i]));
    ASSERT_TRUE(commit(*journal));
    ASSERT_TRUE(journal->save_snapshot(payloads.size(), every_byte + every_byte));
  }
  const auto journal = open_sound(folder / "a.sqlite");
  const auto got = inputs_after(*journal, 0);
  ASSERT_EQ(got.size(), payloads.size());
  for (std::size_t i = 0; i < payloads.size(); ++i) {
    EXPECT_TRUE(got[i].payload == payloads[i]) << i;
    EXPECT_EQ(got[i].topic, topic);
  }
  EXPECT_TRUE(journal->snapshot()->bytes == every_byte + every_byte);
}

TEST(Journal, HoldsTheNewestTwoSnapshots) {
  TemporaryFolder folder;
  const auto journal = open_sound(folder / "a.sqlite");
  EXPECT_EQ(journal->snapshot()->bytes, "");
  for (std::uint64_t n = 1; n <= 5; ++n) {
    journal->add(message(n, "t", "1"));
    ASSERT_TRUE(journal->save_snapshot(n, "state " + std::to_string(n)));
    EXPECT_EQ(journal->waiting(), 0U) << "a snapshot brings what waits into the file with it";
  }
  EXPECT_EQ(journal->snapshot()->number, 5U);
  EXPECT_EQ(journal->snapshot()->bytes, "state 5");
  EXPECT_EQ(journal->snapshot(5)->bytes, "state 4");
  EXPECT_EQ(journal->snapshot(4)->bytes, "") << "older ones have left";
  EXPECT_EQ(inputs_after(*journal, 0).size(), 5U);
}

TEST(Journal, KeepsWhatWasToldUntilTheBrokerHasIt) {
  TemporaryFolder folder;
  std::uint64_t second = 0;
  {
    const auto journal = open_sound(folder / "a.sqlite");
    journal->add(message(1, "t", "1"));
    std::vector<OutboxEntry> told{{0, "overwinter/a/notice", "{}", {}, {}},
                                  {0, "overwinter/a/answer", "{\"id\":1}", "phone/7", std::string("\0\1", 2)}};
    ASSERT_TRUE(journal->commit({raised(1)}, told, true));
    EXPECT_NE(told[0].id, 0U);
    EXPECT_LT(told[0].id, told[1].id);
    second = told[1].id;
    ASSERT_TRUE(journal->delivered(told[0].id));
  }
  const auto journal = open_sound(folder / "a.sqlite");
  const auto left = journal->outbox();
  ASSERT_TRUE(left.has_value());
  ASSERT_EQ(left->size(), 1U);
  EXPECT_EQ((*left)[0].id, second);
  EXPECT_EQ((*left)[0].payload, "{\"id\":1}");
  EXPECT_EQ((*left)[0].response_topic, "phone/7");
  EXPECT_EQ((*left)[0].correlation, std::string("\0\1", 2));
  std::vector<OutboxEntry> more{{0, "x", "y", {}, {}}};
  ASSERT_TRUE(journal->commit({}, more, true));
  EXPECT_GT(more[0].id, second) << "an id that is in use is not given again";
  EXPECT_EQ(asked_with_sqlite(folder / "a.sqlite", "SELECT number || event FROM events").substr(0, 2), "1{");
}

TEST(Journal, BoundsTheOutboxAndTheOldestLeave) {
  TemporaryFolder folder;
  const auto journal = open_sound(folder / "a.sqlite");
  for (int round = 0; round < 3; ++round) {
    std::vector<OutboxEntry> told(limits::outbox_messages / 2, OutboxEntry{0, "n", std::to_string(round), {}, {}});
    ASSERT_TRUE(journal->commit({}, told, false));
  }
  const auto left = journal->outbox();
  ASSERT_EQ(left->size(), limits::outbox_messages);
  EXPECT_EQ(left->front().payload, "1");
  EXPECT_EQ(left->back().payload, "2");
}

TEST(Journal, RemembersRetainedTopics) {
  TemporaryFolder folder;
  {
    const auto journal = open_sound(folder / "a.sqlite");
    ASSERT_TRUE(journal->remember_retained({"b", "a", "b"}));
    ASSERT_TRUE(journal->remember_retained({"c", "a"}));
    ASSERT_TRUE(journal->forget_retained("b"));
    ASSERT_TRUE(journal->forget_retained("never there"));
  }
  EXPECT_EQ(*open_sound(folder / "a.sqlite")->retained_ever(), (std::vector<std::string>{"a", "c"}));
}

TEST(Journal, IsHeldByOneInstanceAlone) {
  TemporaryFolder folder;
  const std::string file = folder / "a.sqlite";
  auto journal = open_sound(file);
  Journal::Opened again = Journal::open(file, test_start());
  EXPECT_EQ(again.journal, nullptr);
  EXPECT_EQ(again.trouble, Journal::Trouble::held);
  EXPECT_NE(again.said.find("another instance holds"), std::string::npos) << again.said;

  const auto trouble_in_another_process = [&] {
    const pid_t child = ::fork();
    if (child == 0) ::_exit(static_cast<int>(Journal::open(file, test_start()).trouble));
    int status = 0;
    ::waitpid(child, &status, 0);
    return WIFEXITED(status) ? static_cast<Journal::Trouble>(WEXITSTATUS(status)) : Journal::Trouble::unusable;
  };
  // The child inherits the lock of its parent, so it asks for the same file as a stranger would: with a lock of its
  // own.
  EXPECT_EQ(trouble_in_another_process(), Journal::Trouble::held);
  journal.reset();
  EXPECT_EQ(trouble_in_another_process(), Journal::Trouble::none);
  EXPECT_NE(open_sound(file), nullptr) << "the child's lock went with it";
}

TEST(Journal, IsReadAndCopiedWhileItIsWritten) {
  TemporaryFolder folder;
  const std::string file = folder / "a.sqlite", copy = folder / "copy.sqlite";
  const auto journal = open_sound(file);
  journal->add(message(1, "t", "1"));
  ASSERT_TRUE(commit(*journal));
  EXPECT_EQ(asked_with_sqlite(file, "SELECT count(*) FROM inputs"), "1");
  EXPECT_EQ(asked_with_sqlite(file, "VACUUM INTO '" + copy + "'"), "");
  journal->add(message(2, "t", "2"));
  ASSERT_TRUE(commit(*journal, true));
  const auto restored = open_sound(copy);
  ASSERT_NE(restored, nullptr);
  EXPECT_EQ(restored->last_number(), 1U);
  EXPECT_EQ(asked_with_sqlite(file, "SELECT count(*) FROM inputs"), "2");
}

TEST(Journal, IsMadeByTheFirstMigrationsAndOpensAFileOfEachVersion) {
  TemporaryFolder folder;
  open_sound(folder / "new.sqlite");
  const std::string version = std::to_string(journal_migrations.size());
  EXPECT_EQ(asked_with_sqlite(folder / "new.sqlite", "PRAGMA user_version"), version);
  EXPECT_EQ(asked_with_sqlite(folder / "new.sqlite", "PRAGMA application_id"), std::to_string(journal_application_id));
  EXPECT_EQ(asked_with_sqlite(folder / "new.sqlite", "PRAGMA journal_mode"), "wal");
  std::string made = "PRAGMA application_id = " + std::to_string(journal_application_id) + ";";
  for (std::size_t v = 0; v < journal_migrations.size(); ++v) {
    made += journal_migrations[v];
    const std::string file = folder / ("version" + std::to_string(v + 1));
    std::fclose(std::fopen(file.c_str(), "w"));
    ASSERT_EQ(asked_with_sqlite(file, made + "PRAGMA user_version = " + std::to_string(v + 1)), "");
    const auto journal = open_sound(file);
    ASSERT_NE(journal, nullptr);
    journal->add(message(1, "t", "1"));
    EXPECT_TRUE(commit(*journal));
    EXPECT_EQ(asked_with_sqlite(file, "PRAGMA user_version"), version);
  }
}

TEST(JournalPlace, IsTheCommandLinesThenTheSitesThenTheStateDirectorys) {
  Plan plan;
  plan.site_id = "alder_bend";
  EXPECT_EQ(journal_place("", plan, ""), "/var/lib/overwinter/alder_bend.sqlite");
  EXPECT_EQ(journal_place("", plan, "/srv/state:/srv/other"), "/srv/state/alder_bend.sqlite");
  plan.journal_file = "/data/j.sqlite";
  EXPECT_EQ(journal_place("", plan, "/srv/state"), "/data/j.sqlite");
  EXPECT_EQ(journal_place("/tmp/k.sqlite", plan, "/srv/state"), "/tmp/k.sqlite");
}

TEST(Journal, HoldsAsManySnapshotsAsItIsTold) {
  TemporaryFolder folder;
  const auto journal = open_sound(folder / "a.sqlite");
  for (std::uint64_t n = 1; n <= 5; ++n) {
    journal->add(message(n, "t", "1"));
    ASSERT_TRUE(journal->save_snapshot(n, "state " + std::to_string(n), 4));
  }
  EXPECT_EQ(journal->snapshot(3)->bytes, "state 2");
  EXPECT_EQ(journal->snapshot(2)->bytes, "");
}

}  // namespace
}  // namespace overwinter
