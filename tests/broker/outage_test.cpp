// Brokers go away and come back, and forget.
#include <gtest/gtest.h>

#include "tests/broker/certificates.h"
#include "tests/broker/rig.h"

namespace overwinter::rig {
namespace {

const std::string refused = R"({"id":"x","gear":"nobody","quantity":"pressure","value":"48.5 psi"})";

TEST(Outage, ABrokerThatComesLaterIsFound) {
  const Folder folder;
  Broker broker(folder);
  Daemon daemon(folder, broker.port());
  ASSERT_TRUE(daemon.logs("cannot connect to the broker at 127.0.0.1"));
  EXPECT_TRUE(daemon.process().runs());
  broker.start();
  const Ear ear(broker.port());
  ear.await(root + "service", "ready");
  ear.say(root + "do/record", refused);
  ear.await(root + "answer", "\"id\":\"x\"");
}

TEST(Outage, ABrokerThatForgotIsToldAgain) {
  const Folder folder;
  Broker broker(folder);
  broker.start();
  Daemon daemon(folder, broker.port());
  {
    const Ear ear(broker.port());
    ear.await(root + "service", "ready");
    ear.say("garage/refrigerator", "shut");
    ear.await(root + "alarm/refrigerator_shut/refrigerator_door", "\"state\":\"unacknowledged\"");
  }
  for (int round = 0; round < 3; ++round) {
    broker.kill();
    broker.start();
    const Ear ear(broker.port());
    ear.await(root + "service", "ready");
    ear.await(root + "alarm/refrigerator_shut/refrigerator_door", "\"state\":");  // a cleared one stays visible
    ear.say(root + "do/record", refused);
    ear.await(root + "answer", "\"id\":\"x\"");
    ear.say("garage/refrigerator", round % 2 == 0 ? "open" : "shut");
    ear.await(root + "notice", round % 2 == 0 ? "\"event\":\"cleared\"" : "\"event\":\"raised\"");
  }
}

TEST(Outage, ABrokerThatStoodStillGoesOn) {
  const Folder folder;
  Broker broker(folder);
  broker.start();
  Daemon daemon(folder, broker.port());
  const Ear ear(broker.port());
  ear.await(root + "service", "ready");
  broker.freeze();
  broker.thaw();
  ear.say(root + "do/record", refused);
  ear.await(root + "answer", "\"id\":\"x\"");
  broker.freeze();
  daemon.process().signal(15);
  EXPECT_EQ(daemon.process().exit_code(std::chrono::seconds(20)), 0) << "a frozen broker must not hold up the end";
  broker.thaw();
}

TEST(Outage, AWrongPasswordIsSaidAndARightOneConnects) {
  const Folder folder;
  BrokerOptions options;
  options.anonymous = false;
  options.more_lines = "password_file " + (folder / "users") + "\n";
  make_user(folder, "users", "camper", "right");
  Broker broker(folder, options);
  broker.start();
  folder.write("password", "wrong\n");
  SiteOptions site;
  site.broker_lines = "  user: camper\n  password_file: password\n";
  Daemon daemon(folder, broker.port(), site);
  ASSERT_TRUE(daemon.logs("cannot connect to the broker at 127.0.0.1"));
  EXPECT_TRUE(daemon.logs("uthorized") || daemon.logs("assword"));
  EXPECT_TRUE(daemon.process().runs());
  folder.write("password", "right\n");
  daemon.process().signal(1);  // SIGHUP: the file is read again
  const Ear ear(broker.port(), "#", "camper", "right");
  ear.await(root + "service", "ready");
  EXPECT_EQ(daemon.log().find("wrong\n"), std::string::npos) << "no password in the log";
}

}  // namespace
}  // namespace overwinter::rig
