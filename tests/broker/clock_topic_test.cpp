// Time as a topic says it: a winter in a moment.
#include <gtest/gtest.h>

#include "tests/broker/rig.h"

namespace overwinter::rig {
namespace {

TEST(ClockTopic, ItsMessagesAreTheTime) {
  const Folder folder;
  Broker broker(folder);
  broker.start();
  Ear ear(broker.port());
  Daemon daemon(folder, broker.port(), {}, {"--clock-topic", "demo/clock"});
  ear.await(root + "service", "starting");
  ear.say("garage/climate", R"({"temperature": 20.0})");  // before the first word there is no time
  ear.say("demo/clock", "soon");
  EXPECT_TRUE(daemon.logs("the clock topic says no time"));
  ear.say("demo/clock", "2026-12-01T14:00:00Z");
  ear.await(root + "service", "ready");
  ear.say("garage/climate", R"({"temperature": 10.0})");
  ear.say("demo/clock", "2026-12-01T14:05:00Z");
  ear.await(root + "place/garage/temperature", "\"value\":50,\"unit\":\"°F\",\"at\":\"2026-12-01T14:00:00Z\"");
  // Silence after 6 h, told at its own instant (the thermometer's stale_after).
  ear.say("demo/clock", "2026-12-01T21:00:00Z");
  const Heard silent = ear.await(root + "alarm/sensor_silent/garage", "\"state\":\"unacknowledged\"");
  EXPECT_NE(silent.payload.find("\"since\":\"2026-12-01T20:00:00Z\""), std::string::npos) << silent.payload;
  EXPECT_EQ(daemon.stop(), 0);
  // It goes on from where the journal stands.
  ear.forget();
  daemon.start();
  ear.await(root + "service", "starting");
  ear.say("demo/clock", "2026-12-01T22:00:00Z");
  // Messages of 21:00 itself might still have come: only the time before it is over.
  EXPECT_TRUE(daemon.logs("goes on from 2026-12-01T20:59:59.999Z"));
}

TEST(ClockTopic, BeforeItsFirstWordASignalEndsTheServiceAsEver) {
  const Folder folder;
  Broker broker(folder);
  broker.start();
  const Ear ear(broker.port());
  Daemon daemon(folder, broker.port(), {}, {"--clock-topic", "demo/clock"});
  ear.await(root + "service", "starting");
  EXPECT_EQ(daemon.stop(), 0);
}

}  // namespace
}  // namespace overwinter::rig
