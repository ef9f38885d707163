// The person's commands against a running service and a real broker.
#include <gtest/gtest.h>
#include <signal.h>

#include <filesystem>
#include <fstream>

#include "tests/client/rig.h"

namespace overwinter {
namespace {

bool holds(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

struct Watching : testing::Test {
  Watching() {
    rig.start_broker();
    rig.start_service();
  }
  Rig rig;
};

TEST_F(Watching, AReadingByHandIsAnsweredAndStandsInStatus) {
  const Ran told = rig.overwinter({"record", "right_front_tire", "pressure", "48.5", "psi"});
  EXPECT_EQ(told.code, 0) << told.err;
  EXPECT_TRUE(holds(told.out, "48.5 psi")) << told.out;
  Ran status;
  EXPECT_TRUE(eventually([&] {
    status = rig.overwinter({"status"});
    return holds(status.out, "48.5 psi");
  })) << status.out
      << status.err;
  EXPECT_EQ(rig.overwinter({"record", "right_front_tire", "pressure", "47.5", "psi"}).code, 0);
  EXPECT_TRUE(eventually([&] {  // its patience is shorter than the minute that a quantity may wait
    status = rig.overwinter({"status"});
    return holds(status.out, "47.5 psi");
  })) << status.out;
  EXPECT_TRUE(holds(status.out, "Alder Bend: the service has been watching since")) << status.out;
  EXPECT_TRUE(holds(rig.overwinter({"status", "--json"}).out, R"("service":"ready")"));
}

TEST_F(Watching, EveryCommandIsAnswered) {
  const auto code = [&](const std::vector<std::string>& words) {
    const Ran ran = rig.overwinter(words);
    EXPECT_TRUE(ran.code == 0 || ran.code == 1) << words.front() << ran.out << ran.err;
    return ran.code;
  };
  EXPECT_EQ(code({"act", "left_front_tire", "filled", "pressure=50 psi", "temperature=20 degF"}), 0);
  EXPECT_EQ(code({"done", "walkaround", "--found", "a mouse in the trap"}), 0);
  EXPECT_EQ(code({"skip", "prepare_for_winter", "--why", "done last week"}), 0);
  EXPECT_EQ(code({"shelve", "tire_leaking", "left_front_tire", "--for", "3d", "--why", "valve on order"}), 0);
  EXPECT_EQ(code({"unshelve", "tire_leaking", "left_front_tire"}), 0);
  EXPECT_EQ(code({"unshelve", "tire_leaking", "left_front_tire"}), 1) << "it is no longer shelved: the service says no";
  EXPECT_EQ(code({"acknowledge", "tire_leaking", "left_front_tire"}), 1) << "it is not active";
  EXPECT_EQ(code({"take_out", "left_front_tire", "--why", "at the shop"}), 0);
  EXPECT_EQ(code({"take_out", "left_front_tire"}), 1);
  EXPECT_EQ(code({"put_back", "left_front_tire"}), 0);
  EXPECT_EQ(code({"season", "lay_up", "2026-10-31"}), 0);
}

TEST_F(Watching, TheSameIdIsAnsweredAgainAndNotCarriedOutTwice) {
  const std::vector<std::string> words{"take_out", "left_front_tire", "--id", "once", "--json"};
  const Ran first = rig.overwinter(words), second = rig.overwinter(words);
  EXPECT_EQ(first.code, 0);
  EXPECT_EQ(second.code, 0) << "a second take_out is refused; the same one is not: " << second.out;
  EXPECT_TRUE(holds(second.out, R"("id":"once","accepted":true)")) << second.out;
}

TEST_F(Watching, StatusIsOneWhileADoorStandsWrong) {
  EXPECT_EQ(rig.overwinter({"status"}).code, 0);
  rig.publish("camper/fridge", "shut");
  Ran status;
  EXPECT_TRUE(eventually([&] {
    status = rig.overwinter({"status"});
    return status.code == 1;
  })) << status.out;
  EXPECT_TRUE(holds(status.out, "\nAlarms\n  medium: ")) << status.out;
  EXPECT_EQ(rig.overwinter({"acknowledge", "door_shut", "refrigerator_door"}).code, 0);
  EXPECT_EQ(rig.overwinter({"shelve", "door_shut", "refrigerator_door", "--for", "1h"}).code, 0);
  EXPECT_TRUE(eventually([&] { return rig.overwinter({"status"}).code == 0; })) << "a shelved alarm is not active";
}

TEST_F(Watching, WhatTheSiteFileShowsToBeWrongIsNotSent) {
  const Ran ran = rig.overwinter({"record", "left_front_tyre", "pressure", "48.5 psi"});
  EXPECT_EQ(ran.code, 1);
  EXPECT_EQ(ran.err, "error: there is no gear or place 'left_front_tyre'; did you mean left_front_tire?\n");
}

TEST_F(Watching, ListenProposesBindingsThatValidate) {
  const Ran ran = rig.overwinter({"listen", "shed/#", "--for", "10 s"}, [&](pid_t) {
    ASSERT_TRUE(rig.waits_for_subscription("shed/#"));
    rig.publish("shed/climate", R"({"temperature":4.5,"humidity":71})");
  });
  EXPECT_EQ(ran.code, 0) << ran.err;
  std::ofstream(rig.folder() / "heard.yaml") << ran.out;
  std::ifstream before(rig.site());
  std::ofstream(rig.folder() / "both.yaml") << "include: [heard.yaml]\n" << before.rdbuf();
  const Ran sound = rig.overwinter({"validate", rig.folder() / "both.yaml"});
  EXPECT_EQ(sound.code, 0) << sound.out << ran.out;
  EXPECT_TRUE(holds(ran.out, "shed_climate:")) << ran.out;
}

TEST_F(Watching, ACaptureReplays) {
  const std::string file = rig.folder() / "winter.jsonl";
  const Ran ran = rig.overwinter({"capture", file, "--for", "1 h"}, [&](pid_t child) {
    ASSERT_TRUE(rig.waits_for_subscription("overwinter/alder_bend/do/#", 2)) << "the service and the capture";
    rig.publish("yard/weather", R"({"temp_c":-7.5})");
    rig.publish("nobody/binds/this", "1");
    rig.publish("overwinter/alder_bend/do/record",
                R"({"gear":"right_front_tire","quantity":"pressure","value":"48.5 psi"})");
    ASSERT_TRUE(eventually([&] {
      std::ifstream in(file);
      std::string line;
      int lines = 0;
      while (std::getline(in, line)) ++lines;
      return lines >= 2;
    }));
    ::kill(child, SIGINT);
  });
  EXPECT_EQ(ran.code, 0) << ran.err;
  EXPECT_TRUE(holds(ran.err, "2 messages captured")) << ran.err;
  const Ran replayed = rig.overwinter({"replay", file});
  EXPECT_EQ(replayed.code, 0) << replayed.err;
  EXPECT_TRUE(holds(replayed.out, R"("event":"hand_reading")")) << replayed.out;
  EXPECT_EQ(rig.overwinter({"capture", file}).code, 2) << "it is not written over";
  const Ran nowhere =
      rig.overwinter({"capture", rig.folder() / "none/c.jsonl"});  // at once, not with the first message
  EXPECT_EQ(nowhere.code, 1);
  EXPECT_TRUE(holds(nowhere.err, "could not be written")) << nowhere.err;
}

TEST(WithoutAService, ACommandIsNotConfirmedAndStatusSaysSo) {
  Rig rig;
  rig.start_broker();
  const Ran told = rig.overwinter({"take_out", "left_front_tire", "--id", "later"});
  EXPECT_EQ(told.code, 3);
  EXPECT_TRUE(told.err.starts_with("error: not confirmed; it may still arrive\n")) << told.err;
  EXPECT_TRUE(holds(told.err, "--id later")) << told.err;
  EXPECT_EQ(rig.overwinter({"status"}).code, 3);
}

// MQTT 5, 3.4.2.1: the broker may say that it did not take a message (0x87, not authorized). Then none arrives.
TEST(WithoutAService, ACommandThatTheBrokerDoesNotTakeWillNotArrive) {
  Rig rig;
  rig::BrokerOptions readers_only;
  readers_only.listener_lines = "acl_file " + rig.folder().write("acl", "topic read overwinter/alder_bend/#\n") + "\n";
  rig.start_broker(readers_only);
  const Ran told = rig.overwinter({"take_out", "left_front_tire"});
  EXPECT_EQ(told.code, 3);
  EXPECT_TRUE(told.err.starts_with("error: the broker does not take it: ")) << told.err;
  EXPECT_FALSE(holds(told.err, "it may still arrive")) << told.err;
  const Ran json = rig.overwinter({"take_out", "left_front_tire", "--json"});
  EXPECT_EQ(json.code, 3);
  EXPECT_TRUE(holds(json.out, R"("confirmed":false,"why":"the broker does not take it: )")) << json.out;
}

TEST(WithoutAService, AServiceThatStoppedIsNotTakenForOneThatWatches) {
  Rig rig;
  rig.start_broker();
  rig.start_service();
  ASSERT_TRUE(eventually([&] { return rig.overwinter({"status"}).code == 0; }));
  rig.stop_service();
  const Ran status = rig.overwinter({"status"});
  EXPECT_EQ(status.code, 3) << status.out;
  EXPECT_TRUE(holds(status.out, "THE SERVICE WAS STOPPED; what follows is old")) << status.out;
}

TEST(WithoutABroker, EveryCommandOverTheServiceIsUnreachable) {
  const Rig rig;
  for (const std::vector<std::string>& words : {std::vector<std::string>{"status"},
                                                {"listen"},
                                                {"capture", rig.folder() / "c.jsonl"},
                                                {"take_out", "left_front_tire"}}) {
    const Ran ran = rig.overwinter(words);
    EXPECT_EQ(ran.code, 3) << words.front();
    EXPECT_TRUE(ran.err.starts_with("error: cannot connect to the broker at 127.0.0.1:")) << ran.err;
  }
  const std::string why = R"("cannot connect to the broker at 127.0.0.1:)";
  for (const char* command : {"status", "listen"}) {
    const Ran ran = rig.overwinter({command, "--json"});
    EXPECT_EQ(ran.code, 3) << command;
    EXPECT_TRUE(ran.out.starts_with(R"({"error":)" + why)) << ran.out;
    EXPECT_TRUE(holds(ran.out, R"(,"hint":"does it run)")) << ran.out;
    EXPECT_EQ(ran.err, "") << "it is said once";
  }
  const Ran captured = rig.overwinter({"capture", rig.folder() / "c.jsonl", "--json"});
  EXPECT_TRUE(captured.err.starts_with(R"({"error":)" + why)) << "where it says what was captured: " << captured.err;
  const Ran told = rig.overwinter({"take_out", "left_front_tire", "--id", "later", "--json"});
  EXPECT_EQ(told.code, 3);
  EXPECT_TRUE(told.out.starts_with(R"({"command":"take_out","id":"later","confirmed":false,"why":)" + why)) << told.out;
  EXPECT_FALSE(std::filesystem::exists(rig.folder() / "c.jsonl"));
}

TEST(WithoutABroker, AFrozenOneIsGivenUp) {
  Rig rig;
  rig.start_broker();
  rig.broker().freeze();
  const Ran ran = rig.overwinter({"status"});
  EXPECT_EQ(ran.code, 3) << ran.err;
}

}  // namespace
}  // namespace overwinter
