// The broker says how many publications it takes at a time (MQTT 5, 3.2.2.3.3: Receive Maximum).
#include <gtest/gtest.h>

#include "tests/broker/rig.h"

namespace overwinter::rig {
namespace {

// A library that looks every second whether there is room again would take a second a topic: the site has far more of
// them than the rig has seconds of patience.
TEST(Window, OfOneIsFullAgainAsSoonAsItIsEmpty) {
  const Folder folder;
  Broker broker(folder, {"max_inflight_messages 1\n", {}});
  broker.start();
  const Ear ear(broker.port(), root + "#");
  Daemon daemon(folder, broker.port());
  ear.await(root + "service", "ready");
  ear.say(root + "do/record", R"({"id":"behind","gear":"left_front_tire","quantity":"pressure","value":"48.5 psi"})");
  ear.await(root + "answer", "\"id\":\"behind\",\"accepted\":true");
  EXPECT_GT(ear.all().size(), 40U);
  EXPECT_EQ(daemon.stop(), 0);
  ear.await(root + "service", "stopping");
}

}  // namespace
}  // namespace overwinter::rig
