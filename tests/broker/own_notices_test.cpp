// What the service says of itself: notices about "service", one when a trouble begins, one when it is over.
#include <gtest/gtest.h>

#include "tests/broker/proxy.h"
#include "tests/broker/rig.h"
#include "tests/broker/stepped_clock.h"
#include "tests/places.h"

namespace overwinter::rig {
namespace {

using namespace std::chrono_literals;

const std::string raised = "\"about\":\"service\",\"event\":\"raised\"";
const std::string cleared = "\"about\":\"service\",\"event\":\"cleared\"";

int count(const Ear& ear, const std::string& part) {
  int n = 0;
  for (const Heard& heard : ear.all())
    n += heard.topic == root + "notice" && heard.payload.find(part) != std::string::npos;
  return n;
}

// What a phone shows of the message at first; 120 characters are our own choice.
void expect_first_sentence_fits(const Heard& heard) {
  const std::string begin = "\"message\":\"";
  const std::size_t from = heard.payload.find(begin) + begin.size();
  const std::size_t end = heard.payload.find_first_of(".\"", from);
  EXPECT_LE(end - from, 119U) << heard.payload;
}

TEST(OwnNotices, ASiteFileThatIsNotValidIsToldWhereAndThenThatItIsTakenUp) {
  const Folder folder;
  Broker broker(folder);
  broker.start();
  Daemon daemon(folder, broker.port());
  Ear ear(broker.port());
  ear.await(root + "service", "ready");
  const std::string sound = site_text(broker.port());
  folder.write("site.yaml", sound + "gaer: {}\n");
  daemon.process().signal(1);
  const Heard heard = ear.await(root + "notice", raised);
  EXPECT_FALSE(heard.retained);
  EXPECT_NE(heard.payload.find("\"title\":\"The new site file is not valid\""), std::string::npos) << heard.payload;
  expect_first_sentence_fits(heard);
  EXPECT_NE(heard.payload.find("site.yaml:"), std::string::npos) << heard.payload;
  EXPECT_NE(heard.payload.find("`gaer`"), std::string::npos) << heard.payload;
  EXPECT_NE(heard.payload.find("\"id\":\"service/site_file/rig/"), std::string::npos) << heard.payload;
  folder.write("site.yaml", sound + "# another word\n");
  daemon.process().signal(1);
  ear.await(root + "notice", cleared);
  EXPECT_EQ(count(ear, "\"about\":\"service\""), 2);
}

TEST(OwnNotices, NoLineOfARefusedSiteFileLeavesInThem) {
  const Folder folder;
  Broker broker(folder);
  broker.start();
  Daemon daemon(folder, broker.port());
  const Ear ear(broker.port());
  ear.await(root + "service", "ready");
  SiteOptions site;
  site.broker_lines = "  user: camper\n  password: hunter2\n";
  folder.write("site.yaml", site_text(broker.port(), site));
  daemon.process().signal(1);
  const Heard heard = ear.await(root + "notice", raised);
  EXPECT_EQ(heard.payload.find("hunter2"), std::string::npos) << heard.payload;
  EXPECT_EQ(daemon.log().find("hunter2"), std::string::npos) << "a password in the log";
}

TEST(OwnNotices, ADamagedJournalThatWasMovedAsideIsToldAfterTheStart) {
  const Folder folder;
  Broker broker(folder);
  broker.start();
  folder.write("journal.sqlite", std::string(8192, '\x01'));
  const Ear ear(broker.port());  // first: a notice is not retained
  Daemon daemon(folder, broker.port());
  const Heard heard = ear.await(root + "notice", raised);
  EXPECT_NE(heard.payload.find("A damaged journal was moved aside"), std::string::npos) << heard.payload;
  // What SQLite says, often on several lines, is for the log.
  EXPECT_EQ(heard.payload.find("\\n"), std::string::npos) << heard.payload;
  EXPECT_EQ(heard.payload.find("database"), std::string::npos) << heard.payload;
  EXPECT_TRUE(daemon.logs("what was found: file is not a database"));
  expect_first_sentence_fits(heard);
  EXPECT_NE(heard.payload.find("journal.sqlite.damaged-"), std::string::npos) << heard.payload;
}

TEST(OwnNotices, AJournalThatCannotBeWrittenIsTheSitesAlarmAndToldAsSuch) {
  const Folder folder;
  Broker broker(folder);
  broker.start();
  folder.write("disk", "a file where a folder should be");
  folder.write("rules.yaml", rules_text());
  SiteOptions site;
  site.more = "journal: {file: disk/journal.sqlite}\n";
  folder.write("site.yaml", site_text(broker.port(), site));
  const Ear ear(broker.port());
  const Process daemon({places::overwinterd(), folder / "site.yaml"}, folder / "overwinterd.log");
  ear.await(root + "notice", "\"about\":\"alarm\",\"event\":\"raised\",\"rule\":\"journal_unwritable\"");
  EXPECT_EQ(count(ear, "\"about\":\"service\""), 0);
}

TEST(OwnNotices, AJournalThatIsRefusedForWhatItIsIsToldAsThat) {
  const Folder folder;
  Broker broker(folder);
  broker.start();
  folder.write("journal.sqlite", "a list of what is in the shed\n");
  const Ear ear(broker.port());
  Daemon daemon(folder, broker.port());
  const std::string heard = ear.await(root + "notice", "\"rule\":\"journal_unwritable\"").payload;
  EXPECT_NE(heard.find("journal.sqlite cannot be used: it is a text file and no journal"), std::string::npos) << heard;
  EXPECT_EQ(heard.find("disk"), std::string::npos) << heard;
  daemon.process().signal(1);  // SIGHUP: the reason outlives a reload
  EXPECT_TRUE(daemon.logs("reloaded"));
  EXPECT_NE(ear.last(root + "alarm/journal_unwritable/rig")->find("it is a text file"), std::string::npos);
}

// An hour, so that a board without a clock chip may find its network first. Ours; no source.
TEST(OwnNotices, ATimeThatNothingConfirmsIsToldAfterAnHourAndWhenItIsCertainAgain) {
  const Folder folder;
  Broker broker(folder);
  broker.start();
  SteppedClock clock(folder, "1970-01-01T00:00:20Z", false);
  Daemon daemon(folder, broker.port(), {}, {}, clock.environment());
  const Ear ear(broker.port());
  ear.await(root + "service", "ready");
  const auto look = [&] { daemon.process().signal(1); };  // SIGHUP: it looks at its clock at once
  clock.elapse(59min);
  look();
  EXPECT_TRUE(daemon.logs("reloaded"));
  EXPECT_EQ(count(ear, "\"about\":\"service\""), 0);
  clock.elapse(2min);
  look();
  const Heard heard = ear.await(root + "notice", raised);
  EXPECT_NE(heard.payload.find("The time is not certain"), std::string::npos) << heard.payload;
  expect_first_sentence_fits(heard);
  clock.show("2026-12-10T15:00:30Z", true);
  look();
  ear.await(root + "notice", cleared);
}

int connects(const Daemon& daemon) {
  const std::string log = daemon.log(), line = "connected to 127.0.0.1";
  int n = 0;
  for (std::size_t at = log.find(line); at != std::string::npos; at = log.find(line, at + 1)) ++n;
  return n;
}

// MQTT 5 may give the reason (0x8E, "Session taken over", 3.14.2.1). Then it is certain, and the longest wait follows,
// half a minute at least.
TEST(OwnNotices, AConnectionThatTheBrokerGaveToAnotherIsTold) {
  const Folder folder;
  Broker broker(folder);
  broker.start();
  Proxy proxy(broker.port());
  const Ear ear(broker.port());
  Daemon daemon(folder, proxy.port());
  ear.await(root + "service", "ready");
  ear.say(root + "do/record", pressure_record("last"));
  ear.await(root + "answer", "\"id\":\"last\"");
  proxy.cut(std::string("\xe0\x02\x8e\x00", 4));
  ASSERT_TRUE(daemon.logs("The broker gave its connection to another program"));
  EXPECT_FALSE(eventually([&] { return connects(daemon) > 1; }, 5s));
  daemon.process().signal(1);  // SIGHUP: whoever stopped the other one need not wait
  const Heard heard = ear.await(root + "notice", "\"id\":\"service/client_id/");
  EXPECT_NE(heard.payload.find("Another program takes its place at the broker"), std::string::npos) << heard.payload;
  EXPECT_NE(heard.payload.find("the client id overwinter-rig"), std::string::npos) << heard.payload;
  expect_first_sentence_fits(heard);
}

// Without a reason (always with MQTT 3.1.1, and some brokers of MQTT 5 give none) the third short connection in a row
// speaks for it. The waits grow: else the two would take the connection from each other once a second, for ever.
TEST(OwnNotices, ASecondServiceOfTheSiteIsToldAndTheTwoDoNotHammer) {
  for (const std::string protocol : {"mqtt_5", "mqtt_3_1_1"}) {
    const Folder folder, other;
    Broker broker(folder);
    broker.start();
    SiteOptions site;
    site.broker_lines = "  protocol: " + protocol + "\n";
    const Ear ear(broker.port());
    Daemon first(folder, broker.port(), site);
    ear.await(root + "service", "ready");
    const Daemon second(other, broker.port(), site);
    const Heard heard = ear.await(root + "notice", "\"id\":\"service/client_id/");
    EXPECT_NE(heard.payload.find("the client id overwinter-rig"), std::string::npos) << heard.payload;
    expect_first_sentence_fits(heard);
    EXPECT_TRUE(first.logs("Is a second overwinterd running for this site?"));
    EXPECT_TRUE(second.logs("Is a second overwinterd running for this site?"));
    EXPECT_TRUE(first.process().runs());
    if (protocol != "mqtt_5") continue;
    // Waits of 1, 2, 4, 8 and 16 s at most, half of that at least: a sixth connect comes after 15 s or later.
    EXPECT_FALSE(eventually([&] { return connects(first) > 7; }, 10s));
  }
}

}  // namespace
}  // namespace overwinter::rig
