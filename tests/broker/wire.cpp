#include "tests/broker/wire.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <stdexcept>

namespace overwinter::rig {
namespace {

// First bytes of control packets, sections 3.1 to 3.14.
constexpr std::uint8_t connect = 0x10, connect_acknowledged = 0x20, publish_packet = 0x30, publish_acknowledged = 0x40,
                       subscribe_packet = 0x82, subscribe_acknowledged = 0x90, disconnect = 0xe0;
constexpr std::uint8_t retain_flag = 0x01, qos_1_flag = 0x02, qos_mask = 0x06;
constexpr std::size_t enough_to_send = std::size_t{16} << 10;
constexpr int patience_ms = 30'000;

void append_byte(std::string& out, std::size_t byte) { out += static_cast<char>(static_cast<unsigned char>(byte)); }

void append_number(std::string& out, std::size_t number) {
  append_byte(out, number >> 8U & 0xffU);
  append_byte(out, number & 0xffU);
}

void append_text(std::string& out, std::string_view text) {
  append_number(out, text.size());
  out += text;
}

// The fixed header: its length takes seven bits a byte, lowest first (2.2.3).
void append_header(std::string& out, std::uint8_t first, std::size_t length) {
  append_byte(out, first);
  for (; length > 0x7f; length >>= 7U) append_byte(out, (length & 0x7fU) | 0x80U);
  append_byte(out, length);
}

std::size_t byte_of(std::string_view text, std::size_t at) { return static_cast<unsigned char>(text[at]); }
std::size_t number_of(std::string_view text, std::size_t at) { return byte_of(text, at) << 8U | byte_of(text, at + 1); }

}  // namespace

Wire::Wire(std::uint16_t port, const std::string& client_id) : fd_(::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)) {
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_port = htons(port);
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  const int on = 1;
  ::setsockopt(fd_, IPPROTO_TCP, TCP_NODELAY, &on, sizeof on);
  if (::connect(fd_, reinterpret_cast<const sockaddr*>(&address), sizeof address) != 0) {
    ::close(fd_);
    throw std::runtime_error("the wire does not connect");
  }
  std::string body;
  append_text(body, "MQTT");
  append_byte(body, 4);     // the protocol's level
  append_byte(body, 0x02);  // a clean session
  append_number(body, 0);   // no keep alive
  append_text(body, client_id);
  append_header(out_, connect, body.size());
  out_ += body;
  await(connect_acknowledged);
}

Wire::~Wire() {
  try {
    append_header(out_, disconnect, 0);
    flush();
  } catch (const std::exception&) {  // the broker of the test is gone
  }
  ::close(fd_);
}

void Wire::subscribe(std::string_view filter) {
  std::string body;
  append_number(body, ++last_packet_);
  append_text(body, filter);
  append_byte(body, 0);
  append_header(out_, subscribe_packet, body.size());
  out_ += body;
  await(subscribe_acknowledged);
}

void Wire::publish(std::string_view topic, std::string_view payload, int qos) {
  const std::size_t packet_id = qos > 0 ? 2 : 0;
  append_header(out_, static_cast<std::uint8_t>(publish_packet | (qos > 0 ? qos_1_flag : 0)),
                2 + topic.size() + packet_id + payload.size());
  append_text(out_, topic);
  if (qos > 0) {
    if (++last_packet_ == 0) last_packet_ = 1;  // zero is none (2.3.1)
    append_number(out_, last_packet_);
    ++unacknowledged_;
  }
  out_ += payload;
  if (out_.size() >= enough_to_send) flush();
}

void Wire::flush() {
  while (!out_.empty()) {
    pollfd ready{fd_, POLLIN | POLLOUT, 0};
    if (::poll(&ready, 1, patience_ms) <= 0) throw std::runtime_error("the broker takes nothing");
    if ((ready.revents & POLLIN) != 0) read_what_came();
    if ((ready.revents & POLLOUT) != 0) send_what_fits();
  }
}

void Wire::settle() {
  flush();
  while (unacknowledged_ > 0) read_when_something_comes();
}

void Wire::send_what_fits() {
  const ssize_t sent = ::send(fd_, out_.data(), out_.size(), MSG_NOSIGNAL | MSG_DONTWAIT);
  if (sent < 0 && errno != EAGAIN) throw std::runtime_error("the broker is gone");
  if (sent > 0) out_.erase(0, static_cast<std::size_t>(sent));
}

bool Wire::read_what_came() {
  std::array<char, std::size_t{64} << 10> bytes;
  const ssize_t came = ::recv(fd_, bytes.data(), bytes.size(), MSG_DONTWAIT);
  if (came < 0 && errno == EAGAIN) return false;
  if (came <= 0) throw std::runtime_error("the broker is gone");
  in_.append(bytes.data(), static_cast<std::size_t>(came));
  take_packets();
  return true;
}

void Wire::read_when_something_comes() {
  pollfd ready{fd_, POLLIN, 0};
  if (::poll(&ready, 1, patience_ms) <= 0) throw std::runtime_error("the broker does not answer");
  read_what_came();
}

void Wire::take_packets() {
  std::size_t at = 0;
  for (;;) {
    std::size_t length = 0, header = 1;
    for (unsigned shift = 0;; shift += 7) {
      if (at + header >= in_.size()) {
        in_.erase(0, at);
        return;
      }
      const std::size_t byte = byte_of(in_, at + header++);
      length |= (byte & 0x7fU) << shift;
      if (byte < 0x80) break;
    }
    if (at + header + length > in_.size()) {
      in_.erase(0, at);
      return;
    }
    take(static_cast<std::uint8_t>(in_[at]), std::string_view(in_).substr(at + header, length));
    at += header + length;
  }
}

void Wire::take(std::uint8_t type_and_flags, std::string_view body) {
  const auto type = static_cast<std::uint8_t>(type_and_flags & 0xf0U);
  if (type == publish_acknowledged) {
    --unacknowledged_;
  } else if (type == publish_packet) {
    const std::size_t topic = number_of(body, 0), rest = 2 + topic + ((type_and_flags & qos_mask) != 0 ? 2U : 0U);
    heard_.push_back(
        {std::string(body.substr(2, topic)), std::string(body.substr(rest)), (type_and_flags & retain_flag) != 0});
  } else {
    last_acknowledgment_ = type;
  }
}

void Wire::await(std::uint8_t acknowledgment) {
  flush();
  while (last_acknowledgment_ != acknowledgment) read_when_something_comes();
  last_acknowledgment_ = 0;
}

std::optional<Wire::Publication> Wire::hear(std::chrono::milliseconds limit) {
  const auto until = std::chrono::steady_clock::now() + limit;
  flush();
  while (heard_.empty()) {
    if (read_what_came()) continue;
    const auto left = std::chrono::ceil<std::chrono::milliseconds>(until - std::chrono::steady_clock::now());
    if (left.count() <= 0) return std::nullopt;
    pollfd ready{fd_, POLLIN, 0};
    ::poll(&ready, 1, static_cast<int>(left.count()));
  }
  Publication first = std::move(heard_.front());
  heard_.pop_front();
  return first;
}

}  // namespace overwinter::rig
