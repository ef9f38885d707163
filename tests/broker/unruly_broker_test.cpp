// Brokers and networks on bad days: frozen, mute, refusing, slow, forgetful, and with an access list against us.
#include <gtest/gtest.h>

#include <filesystem>
#include <map>
#include <stdexcept>

#include "tests/broker/proxy.h"
#include "tests/broker/rig.h"

namespace overwinter::rig {
namespace {

using namespace std::chrono_literals;

// What a new subscriber finds of the service once it has said its whole state.
std::map<std::string, std::string> retained(std::uint16_t port) {
  const Ear first(port, root + "#");
  first.await(root + "service", "ready");
  first.await(last_of_whole_state);
  const Ear ear(port, root + "#");
  ear.say(root + "marker", "here");
  ear.await(root + "marker", "here");  // what is retained came before it
  std::map<std::string, std::string> found;
  for (const Heard& heard : ear.all()) {
    if (heard.retained) found[heard.topic] = heard.payload;
  }
  return found;
}

int times(const std::string& text, const std::string& part) {
  int n = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++n;
  return n;
}

// MQTT 5, 3.2.2.3.14: the client keeps to the broker's keep-alive, here the least that this broker allows. The library
// does not, so the first connection ends for its silence; the second must not.
TEST(UnrulyBroker, AFrozenOneIsNoticedAndToldEverythingWhenItThaws) {
  const Folder folder;
  BrokerOptions options;
  options.more_lines = "max_keepalive 10\n";
  Broker broker(folder, options);
  broker.start();
  Daemon daemon(folder, broker.port());
  std::map<std::string, std::string> before;
  {
    const Ear ear(broker.port());
    ear.await(root + "service", "ready");
    ear.say("garage/refrigerator", "shut");
    ear.await(refrigerator_alarm, "\"state\":\"unacknowledged\"");
    before = retained(broker.port());
  }
  const auto connected = [&] { return times(daemon.log(), "connected to 127.0.0.1"); };
  ASSERT_TRUE(eventually([&] { return connected() == 2; }, 60s));
  // Quiet for longer than the broker would bear of a client that keeps to 30 s.
  EXPECT_FALSE(eventually([&] { return times(daemon.log(), "the broker is gone") != 1; }, 22s));
  broker.freeze();
  ASSERT_TRUE(eventually([&] { return times(daemon.log(), "the broker is gone") == 2; }, 40s))
      << "the service believes in a broker that stands still";
  EXPECT_TRUE(daemon.process().runs());
  broker.thaw();
  ASSERT_TRUE(eventually([&] { return connected() == 3; }, 90s));
  EXPECT_EQ(retained(broker.port()), before);
  const Ear ear(broker.port());
  ear.say(root + "do/record", pressure_record("after"));
  ear.await(root + "answer", "\"id\":\"after\",\"accepted\":true");
}

TEST(UnrulyBroker, OneThatTakesTheConnectionAndNeverAnswersIsGivenUpAndTriedAgain) {
  const Folder folder;
  Broker broker(folder);
  broker.start();
  Proxy proxy(broker.port());
  proxy.swallow(true);
  Daemon daemon(folder, proxy.port());
  ASSERT_TRUE(daemon.logs("cannot connect to the broker at 127.0.0.1:" + std::to_string(proxy.port())));
  ASSERT_TRUE(eventually([&] { return proxy.connections() >= 2; }));
  proxy.swallow(false);
  const Ear ear(broker.port());
  EXPECT_TRUE(rig::eventually([&] { return ear.last(root + "service") == "ready"; }, 60s));
}

// As the installation page says of it: with a listener and nothing else, whoever has no name is refused.
TEST(UnrulyBroker, OneThatAsksForANameIsSaidToRefuse) {
  const Folder folder;
  BrokerOptions options;
  options.anonymous = false;
  Broker broker(folder, options);
  broker.start();
  Daemon daemon(folder, broker.port());
  EXPECT_TRUE(daemon.logs(": the broker refuses us: Not authorized; it tries again"));
  EXPECT_EQ(daemon.log().find("no broker"), std::string::npos) << "it is there";
  EXPECT_TRUE(daemon.process().runs());
}

// CONNACK of MQTT 3.1.1 (3.2.2.3: 1 version, 2 client id, 3 not available, 5 not authorized) and of MQTT 5 (3.2.2.2).
TEST(UnrulyBroker, ARefusalIsSaidInWordsAndTriedAgain) {
  const Folder folder;
  Broker broker(folder);
  broker.start();
  for (const bool is_mqtt_5 : {false, true}) {
    Proxy proxy(broker.port());
    proxy.answer_with(is_mqtt_5 ? std::string("\x20\x03\x00\x88\x00", 5) : std::string("\x20\x02\x00\x03", 4));
    SiteOptions site;
    site.broker_lines = is_mqtt_5 ? "" : "  protocol: mqtt_3_1_1\n";
    Daemon daemon(folder, proxy.port(), site);
    EXPECT_TRUE(daemon.logs(is_mqtt_5 ? ": Server unavailable" : "the broker says that it is not available"));
    ASSERT_TRUE(eventually([&] { return proxy.connections() >= 2; }));
    proxy.answer_with("");
    const Ear ear(broker.port());
    ear.await(root + "service", "ready");
  }
}

TEST(UnrulyBroker, ASlowLineLosesNothingAndSaysNothingTwice) {
  const Folder folder;
  Broker broker(folder);
  broker.start();
  Proxy proxy(broker.port());
  proxy.trickle(7, 1ms);  // 7 bytes a millisecond: packets come in pieces
  Daemon daemon(folder, proxy.port());
  const Ear ear(broker.port());
  ear.await(root + "service", "ready");
  for (int i = 0; i < 40; ++i) {
    ear.say("garage/refrigerator", i % 2 == 0 ? "shut" : "open");
    ear.say(root + "do/record", pressure_record(std::to_string(i)));
  }
  for (int i = 0; i < 40; ++i) {
    ear.await(root + "answer", "\"id\":\"" + std::to_string(i) + "\",\"accepted\":true");
  }
  EXPECT_EQ(times(daemon.log(), "connected to"), 1);
  std::map<std::string, int> notices;
  int answers = 0;
  for (const Heard& heard : ear.all()) {
    if (heard.topic == root + "notice") ++notices[heard.payload];
    if (heard.topic == root + "answer") ++answers;
  }
  EXPECT_EQ(answers, 40);
  EXPECT_FALSE(notices.empty());
  for (const auto& [notice, n] : notices) EXPECT_EQ(n, 1) << notice;
}

TEST(UnrulyBroker, OneThatForgotEverythingIsToldTheWholeState) {
  const Folder folder;
  Broker broker(folder);  // without persistence
  broker.start();
  Daemon daemon(folder, broker.port());
  {
    const Ear ear(broker.port());
    ear.await(root + "service", "ready");
    ear.say("garage/climate", R"({"temperature": 10.0})");
    ear.await(root + "place/garage/temperature", "\"value\":50");
    ear.say("garage/refrigerator", "shut");
    ear.await(refrigerator_alarm, "\"state\":\"unacknowledged\"");
  }
  const auto before = retained(broker.port());
  ASSERT_TRUE(before.contains(refrigerator_alarm));
  ASSERT_GT(before.size(), 8U);
  broker.kill();
  broker.start();
  EXPECT_EQ(retained(broker.port()), before);
}

TEST(UnrulyBroker, WhatSomebodyElseClearedIsSaidAgainAtTheNextConnect) {
  const Folder folder;
  Broker broker(folder);
  broker.start();
  Proxy proxy(broker.port());
  Daemon daemon(folder, proxy.port());
  Ear ear(broker.port());
  ear.await(root + "service", "ready");
  ear.say("garage/refrigerator", "shut");
  ear.await(refrigerator_alarm, "\"state\":\"unacknowledged\"");
  const auto before = retained(broker.port());
  for (const auto& [topic, payload] : before) ear.say(topic, "", true);
  ear.forget();
  proxy.cut();
  ear.await(root + "service", "ready");
  EXPECT_EQ(retained(broker.port()), before);
}

// The broker's own plug-in for access lists refuses a SUBSCRIBE (SUBACK 0x80 in MQTT 3.1.1, 3.9.3; 0x87 in MQTT
// 5, 3.9.3) and a PUBLISH (PUBACK 0x87, MQTT 5, 3.4.2.1). Its list of files only would let both vanish.
std::string access(bool allows_all) {
  const std::string rule = R"({"acltype":"%","topic":"$","allow":)" + std::string(allows_all ? "true}" : "false}");
  const auto acl = [&](const std::string& type, const std::string& topic) {
    std::string text = rule;
    text.replace(text.find('%'), 1, type);
    return text.replace(text.find('$'), 1, topic);
  };
  return R"({"defaultACLAccess":{"publishClientSend":true,"publishClientReceive":true,"subscribe":true,"unsubscribe":true},
"anonymousGroup":"all","groups":[{"groupname":"all","roles":[{"rolename":"all"}]}],"clients":[],
"roles":[{"rolename":"all","acls":[)" +
         acl("subscribeLiteral", "garage/climate") + "," + acl("subscribeLiteral", root + "do/#") + "," +
         acl("publishClientSend", root + "watching_since") + "]}]}";
}

std::string access_plugin() {
  for (const auto& folder : std::filesystem::directory_iterator("/usr/lib")) {  // of the machine's architecture
    const auto file = folder.path() / "mosquitto_dynamic_security.so";
    if (std::filesystem::exists(file)) return file.string();
  }
  throw std::runtime_error("mosquitto_dynamic_security.so is missing: it comes with mosquitto");
}

class AccessList : public testing::TestWithParam<const char*> {};

TEST_P(AccessList, ARefusedTopicIsNamedInTheLogAndInANotice) {
  const Folder folder;
  folder.write("access.json", access(false));
  BrokerOptions options;
  options.more_lines = "plugin " + access_plugin() + "\nplugin_opt_config_file " + (folder / "access.json") + "\n";
  Broker broker(folder, options);
  broker.start();
  SiteOptions site;
  site.broker_lines = GetParam();
  const Ear first(broker.port());
  Daemon daemon(folder, broker.port(), site);
  const Heard notice = first.await(root + "notice", "\"about\":\"service\",\"event\":\"raised\"");
  EXPECT_NE(notice.payload.find("garage/climate, overwinter/rig/do/#."), std::string::npos) << notice.payload;
  EXPECT_EQ(notice.payload.find("garage/refrigerator"), std::string::npos) << notice.payload;
  EXPECT_NE(notice.payload.find("\"gear\":\"rig\",\"priority\":\"high\""), std::string::npos) << notice.payload;
  EXPECT_TRUE(daemon.logs("the broker refuses to let it hear garage/climate, overwinter/rig/do/#"));
  if (site.broker_lines.empty()) {
    EXPECT_TRUE(daemon.logs("the broker does not take what is published on overwinter/rig/watching_since"));
  }
  // What is allowed goes on.
  first.say("garage/refrigerator", "shut");
  first.await(refrigerator_alarm, "\"state\":\"unacknowledged\"");
  // The list is mended: told once.
  broker.kill();
  folder.write("access.json", access(true));
  broker.start();
  const Ear second(broker.port());
  second.await(root + "notice", "\"about\":\"service\",\"event\":\"cleared\"");
  second.say("garage/climate", R"({"temperature": 10.0})");
  second.await(root + "place/garage/temperature", "\"value\":50");
}
INSTANTIATE_TEST_SUITE_P(InBothVersions, AccessList, testing::Values("", "  protocol: mqtt_3_1_1\n"));

}  // namespace
}  // namespace overwinter::rig
