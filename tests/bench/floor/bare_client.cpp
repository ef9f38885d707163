// The floor that the service is measured against: the least that a program with the same MQTT library can do.
//   bare_client PORT hear FILTER...   hears what the service hears, and counts it
//   bare_client PORT echo FILTER TO   answers each message with one of an alarm's size, at QoS 1, retained
//   bare_client PORT idle             is connected and does nothing
// It links what overwinterd links. Ready: its topic bare/ready is retained. SIGTERM ends it.
#include <mqtt/async_client.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <sys/socket.h>

#include <atomic>
#include <csignal>
#include <cstdlib>
#include <string>
#include <string_view>

namespace {

constexpr std::size_t alarm_bytes = 900;

void send_small_packets_at_once(std::uint16_t port) {
  for (int fd = 3; fd < 64; ++fd) {
    sockaddr_in peer{};
    socklen_t size = sizeof peer;
    if (::getpeername(fd, reinterpret_cast<sockaddr*>(&peer), &size) != 0 || ntohs(peer.sin_port) != port) continue;
    const int on = 1;
    ::setsockopt(fd, IPPROTO_TCP, TCP_NODELAY, &on, sizeof on);
  }
}

int run(const std::string& port, std::string_view mode, char** more) {
  sigset_t end;
  sigemptyset(&end);
  sigaddset(&end, SIGTERM);
  ::pthread_sigmask(SIG_BLOCK, &end, nullptr);

  mqtt::async_client client("tcp://127.0.0.1:" + port, "bare", mqtt::create_options(MQTTVERSION_5));
  std::atomic<std::uint64_t> heard = 0;
  const std::string to = mode == "echo" ? more[1] : "";
  client.set_message_callback([&](const mqtt::const_message_ptr&) {
    const std::uint64_t number = ++heard;
    if (to.empty()) return;
    std::string payload = std::to_string(number);
    payload.resize(alarm_bytes, ' ');
    client.publish(to, payload.data(), payload.size(), 1, true);
  });
  mqtt::connect_options options;
  options.set_mqtt_version(MQTTVERSION_5);
  options.set_clean_start(true);
  client.connect(options)->wait();
  send_small_packets_at_once(static_cast<std::uint16_t>(std::stoi(port)));
  if (mode == "hear") {
    for (; *more != nullptr; ++more) client.subscribe(*more, 0)->wait();
  }
  if (mode == "echo") client.subscribe(more[0], 0)->wait();
  const std::string ready = "ready";
  client.publish("bare/ready", ready.data(), ready.size(), 1, true)->wait();
  int signal = 0;
  ::sigwait(&end, &signal);
  client.disconnect()->wait();
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 3) return 2;
  try {
    return run(argv[1], argv[2], argv + 3);
  } catch (const std::exception&) {
    return 1;
  }
}
