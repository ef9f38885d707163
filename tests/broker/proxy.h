// A TCP relay between a client and its broker that can be slow, mute, or cut: what networks and brokers do on bad days.
#pragma once

#include <atomic>
#include <chrono>
#include <cstdint>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

namespace overwinter::rig {

class Proxy {
 public:
  explicit Proxy(std::uint16_t broker_port);
  ~Proxy();
  Proxy(const Proxy&) = delete;
  Proxy& operator=(const Proxy&) = delete;

  std::uint16_t port() const { return port_; }
  int connections() const { return connections_; }  // taken so far

  // What may be set at any time:
  void trickle(std::size_t bytes, std::chrono::milliseconds every);  // each way; 0: as fast as it goes
  void swallow(bool everything);         // takes connections and bytes, and hands on nothing
  void answer_with(std::string packet);  // says this to whoever says something, and ends the connection
  void cut(std::string last_word = {});  // all connections that stand, after it was said to their clients

 private:
  struct Way {  // one direction of a connection
    int from = -1, to = -1;
    std::string held;
  };
  struct Connection {
    Way out, back;
    bool is_over = false;
  };
  void run();
  void take_in(Way& way, Connection& connection);
  void hand_on(Way& way, Connection& connection, std::size_t most) const;
  void wake() const;

  std::uint16_t broker_port_, port_ = 0;
  int listener_ = -1, alarm_clock_ = -1;
  std::atomic<int> connections_ = 0;
  std::mutex mutex_;  // of what may be set
  std::size_t bytes_ = 0;
  std::chrono::milliseconds every_{};
  bool swallows_ = false, is_to_cut_ = false, is_over_ = false;
  std::string answer_, last_word_;
  std::vector<Connection> open_;  // the thread's own
  std::thread thread_;
};

}  // namespace overwinter::rig
