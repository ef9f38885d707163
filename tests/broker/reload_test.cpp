// Site files that change, are wrong, or are served twice.
#include <gtest/gtest.h>

#include <filesystem>

#include "tests/broker/rig.h"
#include "tests/places.h"

namespace overwinter::rig {
namespace {

class Reload : public testing::Test {
 protected:
  Reload() {
    broker.start();
    ear = std::make_unique<Ear>(broker.port());
    daemon = std::make_unique<Daemon>(folder, broker.port());
    ear->await(root + "service", "ready");
  }
  void take_up(const SiteOptions& options) {
    folder.write("site.yaml", site_text(broker.port(), options));
    daemon->process().signal(1);  // SIGHUP
  }
  bool is_emptied(const std::string& topic) const {
    return ear->eventually([&](const std::vector<Heard>& all) {
      for (const Heard& h : all) {
        if (h.topic == topic && h.payload.empty()) return true;
      }
      return false;
    });
  }

  // Two commands since the last snapshot.
  void say_and_kill() {
    ear->say(root + "do/record", pressure_record("r"));
    ear->await(root + "answer", "\"id\":\"r\"");
    ear->say(root + "do/take_out", R"({"gear":"left_front_tire","id":"t"})");
    ear->await(root + "answer", "\"id\":\"t\"");
    daemon->kill();
    ear->forget();
  }
  void edit_site(const std::string& before, const std::string& after) const {
    std::string text = site_text(broker.port());
    text.replace(text.find(before), before.size(), after);
    folder.write("site.yaml", text);
  }

  // Its answer comes after whatever the start had left to tell, which leaves after `ready`.
  void await_an_answer(const std::string& topic_root) const {
    ear->say(topic_root + "do/unshelve", R"({"id":"x"})");
    ear->await(topic_root + "answer", "\"id\":\"x\"");
  }

  // With a site file that lacks the door whose alarm stood.
  void start_without_door() {
    SiteOptions without;
    without.has_door = false;
    folder.write("site.yaml", site_text(broker.port(), without));
    ear->forget();
    daemon->start();
    EXPECT_TRUE(is_emptied(refrigerator_alarm));
    EXPECT_TRUE(daemon->logs("over: Refrigerator door is not open - its gear is gone"));
  }

  Folder folder;
  Broker broker{folder};
  std::unique_ptr<Ear> ear;
  std::unique_ptr<Daemon> daemon;
};

TEST_F(Reload, AnAlarmThatTheNewSiteLacksIsCleared) {
  ear->say("garage/refrigerator", "shut");
  ear->await(refrigerator_alarm, "\"state\":\"unacknowledged\"");
  SiteOptions without;
  without.has_door = false;
  ear->forget();
  take_up(without);
  EXPECT_TRUE(is_emptied(refrigerator_alarm));
  EXPECT_TRUE(is_emptied(root + "gear/refrigerator_door/open"));
  ear->await(root + "service", "ready");
  EXPECT_TRUE(daemon->logs("reloaded: 1 place, 1 piece of gear, 1 sensor, "));
  // What stays goes on.
  ear->say("garage/climate", R"({"temperature": 10.0})");
  ear->await(root + "place/garage/temperature", "\"value\":50");
  EXPECT_EQ(daemon->stop(), 0);
  const Ear late(broker.port());
  late.await(root + "service", "stopping");
  EXPECT_FALSE(late.last(refrigerator_alarm));
}

TEST_F(Reload, ASiteThatChangedWhileNobodyRanIsTakenUpAtTheStart) {
  ear->say("garage/refrigerator", "shut");
  ear->await(refrigerator_alarm, "\"state\":\"unacknowledged\"");
  EXPECT_EQ(daemon->stop(), 0);
  start_without_door();
}

// The inputs since the last snapshot are read with the new file; what they told under the old one was told.
TEST_F(Reload, ASiteThatChangedAfterAKillEndsWhatItLacks) {
  ear->say("garage/refrigerator", "shut");
  ear->await(refrigerator_alarm, "\"state\":\"unacknowledged\"");
  daemon->kill();
  start_without_door();
  ear->await(root + "notice", "\"event\":\"cleared\",\"rule\":\"refrigerator_shut\",\"gear\":\"refrigerator_door\"");
  // Once: the end is in the journal now.
  daemon->kill();
  ear->forget();
  daemon->start();
  ear->await(root + "service", "ready");
  await_an_answer(root);
  const std::string log = daemon->log(), over = "over: Refrigerator door is not open";
  EXPECT_EQ(log.find(over), log.rfind(over));
}

// What a person said stands in the journal by the former name.
TEST_F(Reload, WhatWasSaidBeforeAKillIsKeptUnderANewName) {
  say_and_kill();
  edit_site("  left_front_tire:\n", "  lft:\n    was: left_front_tire\n");
  daemon->start();
  ear->await(root + "gear/lft/pressure", "\"value\":48.5");
  ear->await(root + "alarm/tire_leaking/lft", "\"state\":\"out_of_service\"");
  ear->await(root + "service", "ready");
  await_an_answer(root);
  EXPECT_FALSE(ear->last(root + "notice"));
}

TEST_F(Reload, WhatWasSaidBeforeAKillIsKeptUnderANewTopicRoot) {
  say_and_kill();
  edit_site("broker:\n", "broker:\n  topic_root: home/rig\n");
  daemon->start();
  ear->await("home/rig/gear/left_front_tire/pressure", "\"value\":48.5");
  ear->await("home/rig/service", "ready");
  await_an_answer("home/rig/");
  EXPECT_FALSE(ear->last("home/rig/notice"));
}

TEST_F(Reload, WhatWasSaidBeforeAKillAndTheNewSiteRefusesIsTold) {
  ear->say(root + "do/record", R"({"gear":"nobody","quantity":"pressure","value":"48 psi"})");  // refused then, too
  ear->await(root + "answer", "nobody");
  say_and_kill();
  edit_site("  left_front_tire:\n", "  lft:\n");
  daemon->start();
  const std::string notice = ear->await(root + "notice", "not known any more").payload;
  EXPECT_NE(notice.find("refuses 2 commands"), std::string::npos) << notice;
  EXPECT_NE(notice.find("record left_front_tire, take_out left_front_tire."), std::string::npos) << notice;
  EXPECT_TRUE(daemon->logs("refuses it: take_out"));
}

TEST_F(Reload, ASiteThatChangedAfterAKillTellsWhatItSeesInTheSameInputs) {
  ear->say("garage/climate", R"({"temperature": 10.0})");
  ear->await(root + "place/garage/temperature", "\"value\":50");
  ear->say("garage/refrigerator", "shut");  // its alarm commits the reading
  const std::string told = ear->await(root + "notice", "refrigerator_shut").payload;
  daemon->kill();
  folder.write("rules.yaml", rules_text().insert(rules_text().find("reminders:"), R"(  garage_warm:
    applies_to: {place: garage}
    raise_when: temperature > 40 degF
    on_delay: 0 s
    priority: high
    title: "{name} is warm"
    message: Look at its heater.
)"));
  ear->forget();
  daemon->start();
  ear->await(root + "service", "ready");
  ear->say("garage/climate", R"({"temperature": 10.0})");
  ear->await(root + "notice", "\"event\":\"raised\",\"rule\":\"garage_warm\"");
  for (const Heard& heard : ear->all()) {
    const bool is_of_door = heard.topic == root + "notice" && heard.payload.find("refrigerator") != std::string::npos;
    EXPECT_TRUE(!is_of_door || heard.payload == told) << heard.payload;  // the kill may have caught it on its way
  }
}

TEST_F(Reload, AnotherTopicRootTakesTheOldTopicsAway) {
  SiteOptions other;
  other.broker_lines = "  topic_root: house/winter\n";
  take_up(other);
  ear->await("house/winter/service", "ready");
  EXPECT_TRUE(is_emptied(root + "service"));
  EXPECT_TRUE(is_emptied(root + "place/garage/temperature"));
}

TEST_F(Reload, AnotherTopicRootWhileNobodyRanTakesTheOldTopicsAway) {
  EXPECT_EQ(daemon->stop(), 0);
  edit_site("broker:\n", "broker:\n  topic_root: house/winter\n");
  ear->forget();
  daemon->start();
  ear->await("house/winter/service", "ready");
  for (const char* topic : {"service", "watching_since", "place/garage/temperature"}) {
    EXPECT_TRUE(is_emptied(root + topic)) << topic;
  }
  const Ear late(broker.port());
  late.await("house/winter/service", "ready");
  late.await("house/winter/watching_since", "T");
}

TEST_F(Reload, TheBrokerThatItLeavesIsToldThatItStops) {
  const Folder elsewhere;
  Broker other(elsewhere);
  other.start();
  const Ear there(other.port());
  folder.write("site.yaml", site_text(other.port()));
  daemon->process().signal(1);
  there.await(root + "service", "ready");
  ear->await(root + "service", "stopping");
}

TEST_F(Reload, ABrokenSiteLeavesTheRunningOne) {
  folder.write("site.yaml", "site: {id: rig\n");
  daemon->process().signal(1);
  ASSERT_TRUE(daemon->logs("the running one goes on"));
  ear->say("garage/refrigerator", "shut");
  ear->await(refrigerator_alarm, "\"state\":\"unacknowledged\"");
}

TEST_F(Reload, ASecondOneOnTheSameJournalExitsFour) {
  Process second({places::overwinterd(), "--journal", daemon->journal(), daemon->site()}, folder / "second.log");
  EXPECT_EQ(second.exit_code(), 4);
  EXPECT_TRUE(daemon->process().runs());
}

TEST(Exit, AnInvalidSiteIsOneAndUsageIsTwo) {
  const Folder folder;
  const std::string bad = folder.write("site.yaml", "site: {id: rig}\n");
  EXPECT_EQ(Process({places::overwinterd(), bad}, folder / "log").exit_code(), 1);
  const std::string plain = folder.write("plain.yaml", "site: {id: rig, local_time: America/Winnipeg}\n");
  EXPECT_EQ(Process({places::overwinterd(), plain}, folder / "log").exit_code(), 1) << "it names no broker";
  EXPECT_EQ(Process({places::overwinterd()}, folder / "log").exit_code(), 2);
  EXPECT_EQ(Process({places::overwinterd(), "--dance", bad}, folder / "log").exit_code(), 2);
  for (const char* topic : {"a/#", "a/+/b", "", "$share/a/b"}) {  // MQTT 5.0, 4.7.1 and 4.8.2: filters, and no topics
    EXPECT_EQ(Process({places::overwinterd(), "--clock-topic", topic, bad}, folder / "log").exit_code(), 2) << topic;
    EXPECT_NE(text_of(folder / "log").find("is no topic: it names one, without + or #"), std::string::npos) << topic;
  }
  EXPECT_EQ(Process({places::overwinterd(), "--help"}, folder / "log").exit_code(), 0);
}

TEST_F(Reload, ASiteWithoutABrokerIsRefusedAsAtTheStart) {
  std::string text = site_text(broker.port());
  const std::size_t from = text.find("broker:"), to = text.find("season:");
  folder.write("site.yaml", text.erase(from, to - from));
  daemon->process().signal(1);
  ear->await(root + "notice", "site.yaml:1:1: error: it names no broker");
  EXPECT_TRUE(daemon->logs("the running one goes on"));
  ear->say("garage/climate", R"({"temperature": 10.0})");
  ear->await(root + "place/garage/temperature", "\"value\":50");
}

TEST_F(Reload, AnotherPlaceForTheJournalWaitsForTheNextStartAndSaysSo) {
  const auto write = [&](const std::string& place) {
    SiteOptions options;
    options.more = "journal: {file: " + place + "}\n";
    folder.write("site.yaml", site_text(broker.port(), options));
  };
  EXPECT_EQ(daemon->stop(), 0);
  write("one.sqlite");
  ear->forget();
  const Process program({places::overwinterd(), daemon->site()}, folder / "log");
  ear->await(root + "service", "ready");
  write("two.sqlite");
  program.signal(1);
  EXPECT_TRUE(eventually([&] { return text_of(folder / "log").find("one.sqlite until") != std::string::npos; }));
  EXPECT_FALSE(std::filesystem::exists(folder / "two.sqlite"));
}

}  // namespace
}  // namespace overwinter::rig
