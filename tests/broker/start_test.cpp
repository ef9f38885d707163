// What the house sees of the service on the broker: state, readings, alarms, commands and their answers.
#include <gtest/gtest.h>

#include <map>

#include "tests/broker/rig.h"
#include "tests/places.h"

namespace overwinter::rig {
namespace {

class Start : public testing::Test {
 protected:
  Start() {
    broker.start();
    ear = std::make_unique<Ear>(broker.port());
    daemon = std::make_unique<Daemon>(folder, broker.port());
    ear->await(root + "service", "ready");
  }
  std::string answer(const std::string& command, const std::string& members) {
    const std::string id = command + std::to_string(++asked);
    ear->say(root + "do/" + command, "{\"id\":\"" + id + "\"," + members + "}");
    return ear->await(root + "answer", "\"id\":\"" + id + "\"").payload;
  }
  void shut_the_door() {
    ear->say("garage/refrigerator", "shut");
    ear->await(refrigerator_alarm, "\"state\":\"unacknowledged\"");
  }

  Folder folder;
  Broker broker{folder};
  std::unique_ptr<Ear> ear;
  std::unique_ptr<Daemon> daemon;
  int asked = 0;
};

TEST_F(Start, SaysItsWholeStateRetained) {
  ear->await(last_of_whole_state);
  ear->say(root + "marker", "here");
  ear->await(root + "marker");
  std::string last;
  for (const Heard& heard : ear->all()) {
    if (heard.topic.starts_with(root + "gear/") || heard.topic.starts_with(root + "reminder/")) last = heard.topic;
  }
  EXPECT_EQ(last, last_of_whole_state) << "the tests wait for it";
  const std::vector<Heard> all = ear->all();
  const auto said = [&](std::string_view state) {
    return std::ranges::find_if(all, [&](const Heard& h) { return h.topic == root + "service" && h.payload == state; });
  };
  const auto whole = std::ranges::find(all, last_of_whole_state, &Heard::topic);
  EXPECT_LT(said("starting"), whole);
  EXPECT_LT(whole, said("ready"));
  const Ear late(broker.port(), root + "#");
  const Heard service = late.await(root + "service", "ready");
  EXPECT_TRUE(service.retained);
  EXPECT_TRUE(late.await(root + "reminder/look_at_cover/rig", "\"state\":\"").retained);
  EXPECT_TRUE(late.await(root + "place/garage/temperature", "\"value\":null").retained);
  EXPECT_TRUE(late.await(root + "gear/left_front_tire/pressure", "\"value\":null").retained);
  EXPECT_FALSE(late.last(refrigerator_alarm)) << "an alarm that is normal holds nothing";
}

TEST_F(Start, AReadingArrivesAndItsQuantityIsSaidInDisplayUnits) {
  ear->say("garage/climate", R"({"temperature": 10.0})");
  const Heard heard = ear->await(root + "place/garage/temperature", "\"value\":50");
  EXPECT_NE(heard.payload.find("\"unit\":\"°F\""), std::string::npos) << heard.payload;
  EXPECT_NE(heard.payload.find("\"quality\":\"good\""), std::string::npos) << heard.payload;
}

TEST_F(Start, AConditionBecomesAnAlarmAndANotice) {
  shut_the_door();
  const Heard notice = ear->await(root + "notice", "\"rule\":\"refrigerator_shut\"");
  EXPECT_FALSE(notice.retained);
  EXPECT_NE(notice.payload.find("\"event\":\"raised\""), std::string::npos);
  ear->say("garage/refrigerator", "open");
  ASSERT_TRUE(ear->eventually([&](const std::vector<Heard>& all) {
    for (const Heard& h : all) {
      if (h.topic == refrigerator_alarm && h.payload.find("\"state\":\"unacknowledged\"") == std::string::npos)
        return true;
    }
    return false;
  }));
}

TEST_F(Start, EachCommandIsAnswered) {
  shut_the_door();
  const std::string door = R"("rule":"refrigerator_shut","gear":"refrigerator_door")";
  const std::pair<std::string, std::string> commands[] = {
      {"record", R"("gear":"left_front_tire","quantity":"pressure","value":"48.5 psi")"},
      {"act", R"("gear":"left_front_tire","act":"filled","pressure":"50 psi")"},
      {"acknowledge", door},
      {"shelve", door + R"(,"for":"1 h","why":"defrosting")"},
      {"unshelve", door},
      {"take_out", R"("gear":"refrigerator_door","why":"repair")"},
      {"put_back", R"("gear":"refrigerator_door")"},
      {"done", R"("reminder":"look_at_cover","gear":"rig","found":"tight")"},
      {"skip", R"("reminder":"look_at_cover","gear":"rig")"},
      {"season", R"("lay_up":"2026-11-01")"}};
  for (const auto& [command, members] : commands) {
    const std::string said = answer(command, members);
    EXPECT_NE(said.find("\"accepted\":true"), std::string::npos) << said;
    EXPECT_NE(said.find("\"command\":\"" + command + "\""), std::string::npos) << said;
  }
  EXPECT_NE(
      answer("record", R"("gear":"left_front_tire","quantity":"pressure","value":48.5)").find("\"accepted\":false"),
      std::string::npos);
  EXPECT_NE(answer("dance", R"("gear":"left_front_tire")").find("\"accepted\":false"), std::string::npos);
}

TEST_F(Start, AnAnswerAlsoGoesToTheResponseTopicWithItsCorrelation) {
  const std::string correlation("\x01\x00\xff", 3);  // MQTT 5, 3.3.2.3.6: binary data
  ear->ask(root + "do/record", pressure_record("a"), "phone/answers", correlation);
  const Heard own = ear->await("phone/answers", "\"accepted\":true");
  EXPECT_EQ(own.correlation, correlation);
  EXPECT_EQ(ear->await(root + "answer", "\"id\":\"a\"").payload, own.payload);
}

// Whoever may only command would else say with our rights what stands under our topics.
TEST_F(Start, AnAnswerIsLentNoneOfOurTopics) {
  ear->ask(root + "do/unshelve", R"({"id":"a"})", root + "do/acknowledge", "1");
  ear->ask(root + "do/unshelve", R"({"id":"b"})", refrigerator_alarm, "2");
  ear->ask(root + "do/unshelve", R"({"id":"c"})", root + "answer/phone", "3");
  ear->await(root + "answer/phone", "\"id\":\"c\"");
  for (const Heard& heard : ear->all()) {
    const bool is_answer = heard.payload.find("\"accepted\"") != std::string::npos;
    EXPECT_EQ(is_answer, heard.topic.starts_with(root + "answer")) << heard.topic;
  }
}

// MQTT 5, 3.3.2.3.5: a response topic holds no wildcards. Publishing to one would cost us the connection.
TEST_F(Start, AResponseTopicThatIsNoneCostsNothing) {
  try {
    ear->ask(root + "do/unshelve", R"({"id":"w"})", "phone/#", "1");
  } catch (const std::exception&) {  // a broker may refuse it for us
  }
  const Ear other(broker.port(), root + "#");
  other.say(root + "do/unshelve", R"({"id":"after"})");
  other.await(root + "answer", "\"id\":\"after\"");
  EXPECT_EQ(daemon->log().find("the broker is gone"), std::string::npos);
}

TEST_F(Start, ARetainedCommandIsRefused) {
  ear->say(root + "do/record", pressure_record("r"), true);
  const Heard heard = ear->await(root + "answer", "\"id\":\"r\"");  // at once, not only after the next connect
  EXPECT_NE(heard.payload.find("\"accepted\":false"), std::string::npos) << heard.payload;
  EXPECT_NE(heard.payload.find("a retained command is refused"), std::string::npos) << heard.payload;
  daemon->stop();
  ear->forget();
  daemon->start();
  ear->await(root + "answer", "a retained command is refused");
  ear->forget();
  ear->say(root + "do/record", "", true);  // who takes it away asks for nothing
  ear->say(root + "do/record", "{}");
  EXPECT_NE(ear->await(root + "answer").payload.find("'gear' is missing"), std::string::npos);
}

// The broker keeps them with our session (MQTT 5, 3.1.2.11.2; MQTT 3.1.1, 3.1.2.4).
TEST(Session, WhatAPersonSaidWhileTheServiceWasDownIsDoneAfterTheStart) {
  for (const std::string protocol : {"mqtt_5", "mqtt_3_1_1"}) {
    const Folder folder;
    Broker broker(folder);
    broker.start();
    SiteOptions site;
    site.broker_lines = "  protocol: " + protocol + "\n";
    Ear ear(broker.port());
    Daemon daemon(folder, broker.port(), site);
    ear.await(root + "service", "ready");
    EXPECT_EQ(daemon.stop(), 0);
    ear.say(root + "do/record", pressure_record("stopped", "47.5 psi"));
    daemon.start();
    ear.await(root + "answer", "\"id\":\"stopped\",\"accepted\":true");
    daemon.kill();
    ear.say(root + "do/record", pressure_record("killed", "46.5 psi"));
    daemon.start();
    ear.await(root + "answer", "\"id\":\"killed\",\"accepted\":true");
    ear.await(root + "gear/left_front_tire/pressure", "\"value\":46.5");
  }
}

TEST_F(Start, TheSameCommandAgainIsAnsweredAgainAndExecutedOnce) {
  const std::string command = R"({"id":"twice","gear":"left_front_tire","act":"filled","pressure":"50 psi"})";
  ear->say(root + "do/act", command);
  const auto without_time = [](const std::string& payload) { return payload.substr(payload.find("\"command\"")); };
  const std::string first = ear->await(root + "answer", "\"id\":\"twice\"").payload;
  ear->forget();
  ear->say(root + "do/act", command);
  const std::string again = ear->await(root + "answer", "\"id\":\"twice\"").payload;
  EXPECT_EQ(without_time(again), without_time(first));
  const std::string log = daemon->log();
  EXPECT_EQ(log.find("work: filled"), log.rfind("work: filled")) << "done twice";
}

// What falls due in the very first step of a watch is told like all else.
TEST(FirstStart, WorkThatIsDueAlreadyIsTold) {
  const Folder folder;
  Broker broker(folder);
  broker.start();
  const Ear ear(broker.port());
  SiteOptions site;
  site.more = "notices: {at: \"00:00\", quiet: \"00:00-00:00\"}\nadjust: {look_at_cover: {date: 2020-01-02}}\n";
  Daemon daemon(folder, broker.port(), site);
  const Heard notice = ear.await(root + "notice", "Look at the cover.");
  EXPECT_NE(notice.payload.find("\"event\":\"due\""), std::string::npos) << notice.payload;
  EXPECT_TRUE(daemon.logs("reminder: Rig, look at cover. Look at the cover."));
  const std::string once = notice.payload;
  daemon.kill();
  daemon.start();
  ear.say(root + "do/unshelve", R"({"id":"after"})");
  ear.await(root + "answer", "\"id\":\"after\"");
  for (const Heard& heard : ear.all()) {
    if (heard.topic == root + "notice") {
      EXPECT_EQ(heard.payload, once) << "another word of the same";
    }
  }
}

TEST_F(Start, ADaemonWithoutWorkUsesNoProcessor) {
  ear->say("garage/climate", R"({"temperature": 10.0})");
  ear->await(root + "place/garage/temperature", "\"value\":50");
  ear->say("garage/climate", R"({"temperature": 12.0})");  // waits for its minute
  const auto until = std::chrono::steady_clock::now() + std::chrono::seconds(2);
  const double before = daemon->process().processor_seconds();
  eventually([&] { return std::chrono::steady_clock::now() >= until; });
  EXPECT_LT(daemon->process().processor_seconds() - before, 0.5);
  broker.kill();
  ASSERT_TRUE(daemon->logs("the broker is gone"));
  const double down = daemon->process().processor_seconds();
  const auto later = std::chrono::steady_clock::now() + std::chrono::seconds(2);
  eventually([&] { return std::chrono::steady_clock::now() >= later; });
  EXPECT_LT(daemon->process().processor_seconds() - down, 0.5);
}

// Code 1 would say that the site file is at fault, and a service manager would not start it again.
// The sanitizers need descriptors of their own.
#if !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)
TEST(Program, WithoutWhatTheSystemMustGiveItMayBeStartedAgain) {
  const Folder folder;
  folder.write("rules.yaml", rules_text());
  const std::string site = folder.write("site.yaml", site_text(1));
  Process program({"/bin/sh", "-c", "exec 3>&-; ulimit -n 4; exec \"$0\" \"$1\"", places::overwinterd(), site},
                  folder / "log");
  EXPECT_EQ(program.exit_code(), 70) << text_of(folder / "log");
}
#endif

TEST(Program, ItsHelpIsTextAndNamesTheLevels) {
  const Folder folder;
  Process program({places::overwinterd(), "--help"}, folder / "log");
  EXPECT_EQ(program.exit_code(), 0);
  const std::string help = text_of(folder / "log");
  for (const char c : help) EXPECT_TRUE(c == '\n' || (c >= ' ' && c <= '~')) << static_cast<int>(c);
  EXPECT_NE(help.find("--log LEVEL "), std::string::npos) << help;
}

TEST(Program, ASizeOfTheJournalThatIsNoneIsRefused) {
  const Folder folder;
  for (const char* size : {"0", "1MB", "-5GB", "much"}) {
    Process program({places::overwinterd(), "--journal-limit", size, "site.yaml"}, folder / "log");
    EXPECT_EQ(program.exit_code(), 2) << size;
  }
}

}  // namespace
}  // namespace overwinter::rig
