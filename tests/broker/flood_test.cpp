// Too much, too large, and a disk that is full.
#include <gtest/gtest.h>
#include <sqlite3.h>
#include <sys/resource.h>

#include <boost/asio/executor_work_guard.hpp>
#include <boost/asio/io_context.hpp>
#include <filesystem>
#include <fstream>
#include <optional>

#include "daemon/broker_link.h"
#include "tests/broker/rig.h"
#include "tests/broker/wire.h"
#include "tests/places.h"

namespace overwinter::rig {
namespace {

class Flood : public testing::Test {
 protected:
  Flood() {
    broker.start();
    ear = std::make_unique<Ear>(broker.port(), root + "#");
    daemon = std::make_unique<Daemon>(folder, broker.port());
    ear->await(root + "service", "ready");
  }
  Folder folder;
  Broker broker{folder, {"log_type all\n", {}}};
  std::unique_ptr<Ear> ear;
  std::unique_ptr<Daemon> daemon;
};

TEST_F(Flood, OfBadCommandsIsAnsweredOneByOne) {
  const std::string bad[] = {
      "", "{", "[]", "{\"id\":7}", std::string(3, '\0'), "\xff\xfe", "{\"id\":\"a\",\"id\":\"b\"}"};
  const Ear speaker(broker.port(), "nothing");
  for (int round = 0; round < 100; ++round) {
    for (const std::string& payload : bad) speaker.say(root + "do/record", payload);
  }
  speaker.say(root + "do/record", pressure_record("after"));
  ear->await(root + "answer", "\"id\":\"after\",\"accepted\":true");
  EXPECT_TRUE(daemon->process().runs());
  EXPECT_EQ(daemon->log().find("the broker is gone"), std::string::npos);
  EXPECT_TRUE(daemon->logs("read by hand: ")) << "accepted work is always logged";
  EXPECT_EQ(daemon->stop(), 0);
  const std::string log = daemon->log();
  std::size_t refused = 0;
  for (std::size_t at = log.find("refused: "); at != std::string::npos; at = log.find("refused: ", at + 1)) ++refused;
  EXPECT_GE(refused, 10U);
  EXPECT_LE(refused, 30U) << "ten a minute, in at most three";
  EXPECT_NE(log.find(" more refused commands in the last minute"), std::string::npos) << log;
}

TEST_F(Flood, OfControlCharactersLeavesTheLogReadable) {
  ear->say(root + "do/record", R"({"id":"esc2","by":"\u001b]0;x\u0007\u009b2J","gear":"\u001b[2J"})");
  ear->await(root + "answer", "\"id\":\"esc2\"");
  EXPECT_TRUE(daemon->logs("?]0;x??2J"));
  const std::string log = daemon->log();
  EXPECT_EQ(log.find_first_of("\x1b\x07"), std::string::npos);
  EXPECT_EQ(log.find("\xc2\x9b"), std::string::npos);
}

TEST_F(Flood, OfMegabytesLeavesItSmallAndAlive) {
  const std::size_t before = daemon->process().resident_kib();
  const std::string large(std::size_t{1} << 20, 'x');
  const Ear speaker(broker.port(), "nothing");
  for (int round = 0; round < 50; ++round) {
    speaker.say(root + "do/record", large);
    speaker.say("garage/climate", large);
    speaker.say("garage/refrigerator", large);
  }
  speaker.say(root + "do/record", pressure_record("after"));
  ear->await(root + "answer", "\"id\":\"after\",\"accepted\":true");
  EXPECT_TRUE(daemon->process().runs());
  // Ours: what waits is bounded by 16 MiB; the rest is the broker's library with a few messages. The sanitizers keep
  // what is freed for a while, so a size says nothing there.
#if !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)
  EXPECT_LT(daemon->process().resident_kib(), before + 48 * 1024);
#else
  EXPECT_GT(daemon->process().resident_kib(), before / 2);
#endif
  daemon->stop();
  EXPECT_LT(std::filesystem::file_size(daemon->journal()), std::uintmax_t{24} << 20);
}

int times_in(const std::string& file, const std::string& part) {
  std::ifstream in(file);
  int times = 0;
  for (std::string line; std::getline(in, line);) times += line.find(part) == std::string::npos ? 0 : 1;
  return times;
}

// The loop stands still until all has arrived: more readings than may wait, and commands behind them.
class FloodOfReadings : public testing::TestWithParam<int> {};  // at this quality of service

TEST_P(FloodOfReadings, LeavesRoomForCommands) {
  constexpr int commands = 20, readings = 400;
  const Folder folder;
  Broker broker(folder, {"log_type all\n", {}});
  broker.start();
  boost::asio::io_context loop;
  const auto runs_on = boost::asio::make_work_guard(loop);
  BrokerSettings settings;
  settings.spec.host = "127.0.0.1";
  settings.spec.port = broker.port();
  settings.client_id = "slow";
  settings.commands = "do/";
  int heard_commands = 0, heard_readings = 0;
  std::uint64_t dropped = 0;
  BrokerLink::Callbacks callbacks;
  callbacks.connected = [&] { loop.stop(); };
  callbacks.lost = [](const std::string&) {};
  callbacks.message = [&](const BrokerMessage& message) {
    ++(message.topic == "do/record" ? heard_commands : heard_readings);
  };
  callbacks.dropped = [&](std::uint64_t messages) { dropped += messages; };
  BrokerLink link(loop, settings, callbacks, 1);
  link.start();
  loop.run_for(patience);
  ASSERT_TRUE(link.connected());
  link.subscribe("garage/climate", GetParam());
  link.subscribe("do/#", 1);
  link.publish("ready", "", 1, false, [&](bool) { loop.stop(); });  // behind the subscriptions
  loop.restart();
  loop.run_for(patience);
  Wire wire(broker.port(), "speaker");
  const std::string large(std::size_t{60} << 10, 'x');
  for (int i = 0; i < readings; ++i) wire.publish("garage/climate", large, GetParam());
  for (int i = 0; i < commands; ++i) wire.publish("do/record", large, 1);
  wire.settle();
  const int taken = commands + (GetParam() > 0 ? readings : 0);
  ASSERT_TRUE(eventually([&] { return times_in(folder / "mosquitto.log", "Received PUBACK from slow") == taken; }));
  loop.restart();
  while (heard_commands < commands && loop.run_one_for(patience) > 0) {
  }
  EXPECT_EQ(heard_commands, commands);
  EXPECT_LT(heard_readings, readings) << "else nothing was full";
  EXPECT_EQ(dropped, static_cast<std::uint64_t>(readings - heard_readings));
  link.stop(std::chrono::seconds(1));
  loop.restart();
  loop.poll();
}

INSTANTIATE_TEST_SUITE_P(AtEitherQuality, FloodOfReadings, testing::Values(0, 1));

// Another program begins to write in the journal, and waits: until it is done the service's next commit stands still.
class HeldJournal {
 public:
  explicit HeldJournal(const std::string& file) {
    sqlite3_open_v2(file.c_str(), &db_, SQLITE_OPEN_READWRITE, nullptr);
    sqlite3_busy_timeout(db_, 10'000);
    EXPECT_EQ(sqlite3_exec(db_, "BEGIN IMMEDIATE", nullptr, nullptr, nullptr), SQLITE_OK);
  }
  HeldJournal(const HeldJournal&) = delete;
  HeldJournal& operator=(const HeldJournal&) = delete;
  ~HeldJournal() { sqlite3_close(db_); }

 private:
  sqlite3* db_ = nullptr;
};

// The same with the person's own program, until readings have been dropped: its command comes behind a flood of them
// while the loop stands.
TEST_F(Flood, OfReadingsLeavesAPersonsCommandThrough) {
  constexpr int readings = 400, most_rounds = 20;
  Wire sensors(broker.port(), "sensors");
  const std::string reading = "{\"temperature\": 10.0, \"more\": \"" + std::string(std::size_t{60} << 10, 'x') + "\"}";
  const std::string small = R"({"temperature": 10.0})";
  const auto commands_taken = [&] { return times_in(folder / "mosquitto.log", "Received PUBACK from overwinter-rig"); };
  const auto has_dropped = [&] { return daemon->log().find("were dropped") != std::string::npos; };
  for (int round = 1; !has_dropped() && round <= most_rounds; ++round) {
    std::optional<HeldJournal> held(std::in_place, daemon->journal());
    const std::string id = "first " + std::to_string(round);
    sensors.publish(root + "do/record", pressure_record(id), 1);  // its commit stands still
    for (int i = 0; i < readings; ++i) sensors.publish("garage/climate", reading);
    for (int i = 0; i < readings; ++i) sensors.publish("garage/climate", small);  // no room is left that they fit in
    sensors.settle();
    Process person(
        {places::overwinter(), "record", "left_front_tire", "pressure", "48.5 psi", "--site", daemon->site()},
        folder / "person.log");
    ASSERT_TRUE(eventually([&] { return commands_taken() == 2 * round; })) << "by the library; the loop stands";
    held.reset();
    EXPECT_EQ(person.exit_code(), 0) << text_of(folder / "person.log");
    ear->await(root + "answer", "\"id\":\"" + id + "\",\"accepted\":true");
  }
  EXPECT_TRUE(has_dropped()) << "else nothing was full";
}

// A disk that takes nothing more, by the size that a file may have (setrlimit(2): a write beyond it is EFBIG).
TEST_F(Flood, AFullDiskIsAnAlarmAndNoEnd) {
  const auto may_write = [&](rlim_t bytes) {
    const rlimit limit{bytes, RLIM_INFINITY};
    ASSERT_EQ(::prlimit(daemon->process().id(), RLIMIT_FSIZE, &limit, nullptr), 0);
  };
  const std::string not_kept = "Not in the journal yet: a restart would lose it.";
  const auto answer_to = [&](const std::string& id) {
    ear->say(root + "do/record", pressure_record(id));
    return ear->await(root + "answer", "\"id\":\"" + id + "\",\"accepted\":true").payload;
  };
  EXPECT_EQ(answer_to("before").find(not_kept), std::string::npos);
  may_write(1);
  for (const char* id : {"during", "still"}) {  // the first that finds it full, and those after it
    const std::string answer = answer_to(id);
    EXPECT_NE(answer.find(not_kept), std::string::npos) << answer;
  }
  ear->await(root + "alarm/journal_unwritable/rig", "\"state\":\"unacknowledged\"");
  const std::string notice = ear->await(root + "notice", "journal_unwritable").payload;
  EXPECT_EQ(notice.find(": ."), std::string::npos) << "a word is missing: " << notice;
  EXPECT_TRUE(daemon->process().runs());
  may_write(RLIM_INFINITY);
  EXPECT_EQ(answer_to("after").find(not_kept), std::string::npos);
  EXPECT_TRUE(daemon->logs("the journal can be written again"));
  EXPECT_EQ(daemon->stop(), 0);
  // What came meanwhile was kept: the same id is known after a restart.
  ear->forget();
  daemon->start();
  ear->await(root + "service", "ready");
  const std::string again = answer_to("during");
  EXPECT_EQ(again.find(not_kept), std::string::npos) << "it is in the journal now: " << again;
}

}  // namespace
}  // namespace overwinter::rig
