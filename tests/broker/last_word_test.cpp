// What the broker says of the service when it ends: in order, and not.
#include <arpa/inet.h>
#include <gtest/gtest.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <unistd.h>

#include <thread>

#include "tests/broker/rig.h"

namespace overwinter::rig {
namespace {

const std::string service_topic = "overwinter/rig/service";

TEST(LastWord, IsLostAfterAKill) {
  const Folder folder;
  Broker broker(folder);
  broker.start();
  const Ear ear(broker.port(), service_topic);
  SiteOptions site;
  site.broker_lines = "  protocol: mqtt_3_1_1\n";  // knows no will delay
  Daemon daemon(folder, broker.port(), site);
  ear.await(service_topic, "ready");
  daemon.kill();
  ear.await(service_topic, "lost");
}

TEST(LastWord, IsStoppingAfterSigtermAndTheExitCodeZero) {
  const Folder folder;
  Broker broker(folder);
  broker.start();
  const Ear ear(broker.port(), service_topic);
  Daemon daemon(folder, broker.port());
  ear.await(service_topic, "ready");
  EXPECT_EQ(daemon.stop(), 0);
  ear.await(service_topic, "stopping");
  const Ear late(broker.port(), service_topic);
  EXPECT_TRUE(late.await(service_topic, "stopping").retained);
}

// With MQTT 5 the will waits for 30 s: a service that is back within them was never lost. A listener that is no broker
// reads the bytes of CONNECT (MQTT 5, 3.1): the library keeps the will's properties apart, and might lose them.
std::string first_packet(std::uint16_t port) {
  const int listener = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_port = htons(port);
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  const int on = 1;
  ::setsockopt(listener, SOL_SOCKET, SO_REUSEADDR, &on, sizeof on);
  if (::bind(listener, reinterpret_cast<const sockaddr*>(&address), sizeof address) != 0) return {};
  ::listen(listener, 1);
  const timeval limit{30, 0};
  ::setsockopt(listener, SOL_SOCKET, SO_RCVTIMEO, &limit, sizeof limit);
  const int peer = ::accept(listener, nullptr, nullptr);
  ::setsockopt(peer, SOL_SOCKET, SO_RCVTIMEO, &limit, sizeof limit);
  std::string packet;
  char buffer[512];
  while (packet.size() < 2 || packet.size() < 2U + static_cast<unsigned char>(packet[1])) {
    const ssize_t got = ::recv(peer, buffer, sizeof buffer, 0);
    if (got <= 0) break;
    packet.append(buffer, static_cast<std::size_t>(got));
  }
  ::close(peer);
  ::close(listener);
  return packet;
}

TEST(LastWord, WaitsThirtySecondsWithMqtt5) {
  const Folder folder;
  const std::uint16_t port = free_port();
  std::string packet;
  std::thread listener([&] { packet = first_packet(port); });
  const Daemon daemon(folder, port);
  listener.join();
  using namespace std::string_literals;
  EXPECT_NE(packet.find("\0\4MQTT\5"s), std::string::npos);
  EXPECT_NE(packet.find("\x18\0\0\0\x1e"s), std::string::npos) << "no Will Delay Interval (3.1.3.2.2) of 30 s";
  EXPECT_NE(packet.find("\x11\0\x01\x51\x80"s), std::string::npos)
      << "no Session Expiry Interval (3.1.2.11.2) of a day";
  EXPECT_NE(packet.find("\0\x04lost"s), std::string::npos);
}

TEST(LastWord, SpeaksMqtt311WhenTheSiteSaysSo) {
  const Folder folder;
  const std::uint16_t port = free_port();
  std::string packet;
  std::thread listener([&] { packet = first_packet(port); });
  SiteOptions site;
  site.broker_lines = "  protocol: mqtt_3_1_1\n";
  const Daemon daemon(folder, port, site);
  listener.join();
  using namespace std::string_literals;
  EXPECT_NE(packet.find("\0\4MQTT\4"s), std::string::npos);
}

}  // namespace
}  // namespace overwinter::rig
