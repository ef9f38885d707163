// A speaker that costs next to nothing: MQTT 3.1.1 (OASIS Standard, 29 October 2014) written to a socket by hand, so
// that a load of ten thousand messages a second measures the service and not its test. One thread; what it hears is
// heard at QoS 0.
#pragma once

#include <chrono>
#include <cstdint>
#include <deque>
#include <optional>
#include <string>
#include <string_view>

namespace overwinter::rig {

class Wire {
 public:
  // Connects to 127.0.0.1 with TCP_NODELAY; throws std::runtime_error when the broker does not take it.
  Wire(std::uint16_t port, const std::string& client_id);
  ~Wire();
  Wire(const Wire&) = delete;
  Wire& operator=(const Wire&) = delete;

  // Waits for the acknowledgment.
  void subscribe(std::string_view filter);
  // Into a buffer that flush() sends, or this call when it is large. At QoS 1 the acknowledgment is only counted.
  void publish(std::string_view topic, std::string_view payload, int qos = 0);
  void flush();
  // Until the broker has taken all that was published at QoS 1, and so all that was published before it.
  void settle();

  struct Publication {
    std::string topic, payload;
    bool retained = false;
  };
  // The next one; nothing: none came in time. Zero: takes what is there.
  std::optional<Publication> hear(std::chrono::milliseconds limit);

 private:
  void send_what_fits();
  bool read_what_came();  // false: nothing
  void read_when_something_comes();
  void take_packets();
  void take(std::uint8_t type_and_flags, std::string_view body);
  void await(std::uint8_t acknowledgment);

  int fd_ = -1;
  std::string out_, in_;
  std::deque<Publication> heard_;
  std::uint16_t last_packet_ = 0;
  std::uint64_t unacknowledged_ = 0;
  std::uint8_t last_acknowledgment_ = 0;
};

}  // namespace overwinter::rig
