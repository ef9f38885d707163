#include "tests/broker/proxy.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <sys/eventfd.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <stdexcept>
#include <utility>

namespace overwinter::rig {
namespace {

using namespace std::chrono_literals;
using Clock = std::chrono::steady_clock;

constexpr std::size_t most_held = std::size_t{1} << 20;
constexpr auto retry = 5ms;  // of a peer that takes nothing just now

sockaddr_in loopback_address(std::uint16_t port) {
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_port = htons(port);
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  return address;
}

void send_at_once(int fd) {
  const int on = 1;
  ::setsockopt(fd, IPPROTO_TCP, TCP_NODELAY, &on, sizeof on);
}

}  // namespace

Proxy::Proxy(std::uint16_t broker_port)
    : broker_port_(broker_port),
      listener_(::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)),
      alarm_clock_(::eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK)) {
  sockaddr_in address = loopback_address(0);
  socklen_t size = sizeof address;
  if (::bind(listener_, reinterpret_cast<const sockaddr*>(&address), size) != 0 || ::listen(listener_, 16) != 0) {
    throw std::runtime_error("no port for the proxy");
  }
  ::getsockname(listener_, reinterpret_cast<sockaddr*>(&address), &size);
  port_ = ntohs(address.sin_port);
  thread_ = std::thread([this] { run(); });
}

Proxy::~Proxy() {
  {
    const std::lock_guard lock(mutex_);
    is_over_ = true;
  }
  wake();
  thread_.join();
  ::close(listener_);
  ::close(alarm_clock_);
}

void Proxy::wake() const { ::eventfd_write(alarm_clock_, 1); }

void Proxy::trickle(std::size_t bytes, std::chrono::milliseconds every) {
  {
    const std::lock_guard lock(mutex_);
    bytes_ = bytes;
    every_ = every;
  }
  wake();
}

void Proxy::swallow(bool everything) {
  {
    const std::lock_guard lock(mutex_);
    swallows_ = everything;
  }
  wake();
}

void Proxy::answer_with(std::string packet) {
  const std::lock_guard lock(mutex_);
  answer_ = std::move(packet);
}

void Proxy::cut(std::string last_word) {
  {
    const std::lock_guard lock(mutex_);
    is_to_cut_ = true;
    last_word_ = std::move(last_word);
  }
  wake();
}

void Proxy::take_in(Way& way, Connection& connection) {
  char buffer[4096];
  const ssize_t got = ::recv(way.from, buffer, sizeof buffer, MSG_DONTWAIT);
  if (got > 0) way.held.append(buffer, static_cast<std::size_t>(got));
  if (got == 0 || (got < 0 && errno != EAGAIN)) connection.is_over = true;
}

void Proxy::hand_on(Way& way, Connection& connection, std::size_t most) const {
  if (way.held.empty()) return;
  const ssize_t sent = ::send(way.to, way.held.data(), std::min(most, way.held.size()), MSG_DONTWAIT | MSG_NOSIGNAL);
  if (sent > 0) way.held.erase(0, static_cast<std::size_t>(sent));
  if (sent < 0 && errno != EAGAIN) connection.is_over = true;
}

void Proxy::run() {
  Clock::time_point next{};
  for (;;) {
    std::vector<pollfd> looked_at{{alarm_clock_, POLLIN, 0}, {listener_, POLLIN, 0}};
    bool holds = false;
    for (const Connection& c : open_) {
      for (const Way* way : {&c.out, &c.back}) {
        looked_at.push_back({way->from, static_cast<short>(way->held.size() < most_held ? POLLIN : 0), 0});
        holds = holds || !way->held.empty();
      }
    }
    std::unique_lock lock(mutex_);
    const auto pause = every_ > 0ms ? every_ : std::chrono::milliseconds(retry);
    lock.unlock();
    ::poll(looked_at.data(), looked_at.size(), holds ? static_cast<int>(pause.count()) : -1);
    eventfd_t woken = 0;
    ::eventfd_read(alarm_clock_, &woken);

    lock.lock();
    if (is_over_ || std::exchange(is_to_cut_, false)) {
      for (Connection& c : open_) {
        c.back.held += last_word_;
        hand_on(c.back, c, c.back.held.size());
        c.is_over = true;
      }
    }
    const std::size_t most = bytes_ > 0 ? bytes_ : most_held;
    const bool is_due = bytes_ == 0 || Clock::now() >= next;
    if (is_due) next = Clock::now() + every_;
    const bool swallows = swallows_, ends = is_over_;
    const std::string answer = answer_;
    lock.unlock();

    if (!ends && (looked_at[1].revents & POLLIN) != 0) {
      Connection c;
      c.out.from = c.back.to = ::accept4(listener_, nullptr, nullptr, SOCK_CLOEXEC);
      c.out.to = c.back.from = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
      const sockaddr_in broker = loopback_address(broker_port_);
      c.is_over = ::connect(c.out.to, reinterpret_cast<const sockaddr*>(&broker), sizeof broker) != 0;
      send_at_once(c.out.from);
      send_at_once(c.out.to);
      ++connections_;
      open_.push_back(std::move(c));
    }
    for (Connection& c : open_) {
      for (Way* way : {&c.out, &c.back}) {
        if (!c.is_over) take_in(*way, c);
        if (swallows) way->held.clear();
        if (is_due && !swallows && answer.empty() && !c.is_over) hand_on(*way, c, most);
      }
      if (answer.empty() || c.out.held.empty() || c.is_over) continue;
      c.back.held = answer;
      hand_on(c.back, c, answer.size());
      c.is_over = true;
    }
    std::erase_if(open_, [](const Connection& c) {
      if (!c.is_over) return false;
      ::close(c.out.from);
      ::close(c.out.to);
      return true;
    });
    if (ends) return;
  }
}

}  // namespace overwinter::rig
