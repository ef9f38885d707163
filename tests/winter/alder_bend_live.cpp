// Plays a captured winter to a broker as its sensors would, in accelerated time: before the messages of an instant the
// clock topic says that instant, so that the service beside it lives through the winter in a minute.
#include <fmt/format.h>

#include <boost/asio/executor_work_guard.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/steady_timer.hpp>
#include <charconv>
#include <fstream>
#include <iostream>
#include <optional>
#include <string>
#include <string_view>

#include "daemon/broker_link.h"
#include "daemon/json_lines.h"

namespace {

using namespace overwinter;
using namespace std::chrono_literals;

constexpr std::string_view usage =
    "alder_bend_live PORT CLOCK_TOPIC SERVICE_TOPICS CAPTURE\n"
    "Plays CAPTURE to the broker on the loopback PORT. SERVICE_TOPICS: what the service publishes, as in "
    "overwinter/site/#;\n"
    "the winter begins when it says that it is ready, and never runs more than half a day ahead of it.\n";

constexpr Span ahead = 12 * one_hour;  // of the winter's time: what may wait at the broker
constexpr auto patience = 2s;          // without progress; then it goes on, for it may have nothing new to say

class Player {
 public:
  Player(std::uint16_t port, std::string clock, std::string progress, std::istream& capture)
      : clock_(std::move(clock)), progress_(std::move(progress)), lines_(capture), timer_(loop_) {
    BrokerSettings settings;
    settings.spec.host = "127.0.0.1";
    settings.spec.port = port;
    settings.client_id = "alder-bend-sensors";
    BrokerLink::Callbacks callbacks;
    callbacks.connected = [this] {
      link_->subscribe(progress_, 0);
      play();
    };
    callbacks.lost = [this](const std::string& why) {
      std::cerr << "the broker is gone: " << why << '\n';
      failed_ = true;
      loop_.stop();
    };
    callbacks.message = [this](const BrokerMessage& message) { heard(message.payload); };
    link_.emplace(loop_, std::move(settings), std::move(callbacks), 1);
  }

  int run() {
    link_->start();
    const auto work = boost::asio::make_work_guard(loop_);  // the library's threads post to it
    loop_.run();
    link_->stop(2s);
    return failed_ ? 1 : 0;
  }

 private:
  void heard(const std::string& payload) {
    if (payload == "ready" && !ready_) {
      ready_ = true;
      play();
      return;
    }
    constexpr std::string_view key = "\"at\":\"";
    const std::size_t begin = payload.find(key);
    if (begin == std::string::npos) return;
    const std::size_t end = payload.find('"', begin + key.size());
    if (const auto at = parse_rfc3339(std::string_view(payload).substr(begin + key.size(), end - begin - key.size()))) {
      service_at_ = std::max(service_at_, *at);
    }
    if (waits_) play();
  }

  // Publishes until it is too far ahead of the service, or of the broker.
  void play() {
    waits_ = false;
    CapturedMessage message;
    while (under_way_ < 200) {
      if (!held_) {
        const JsonLines::Read read = lines_.next(message);
        if (read == JsonLines::Read::end) {
          if (under_way_ == 0) loop_.stop();
          ended_ = true;
          return;
        }
        if (read != JsonLines::Read::message) continue;
        held_ = message;
      }
      if (service_at_ == Instant{}) service_at_ = held_->at;
      if (!ready_) {  // the clock's first word starts the service's watch; then it hears its sensors
        if (now_ == Instant{}) publish(clock_, format_rfc3339(now_ = held_->at), true);
        return;
      }
      if (held_->at > service_at_ + ahead) {
        wait();
        return;
      }
      if (held_->at != now_) {
        now_ = held_->at;
        publish(clock_, format_rfc3339(now_), true);
      }
      publish(std::string(held_->topic), std::string(held_->payload));
      held_.reset();
    }
    full_ = true;
  }

  void publish(const std::string& topic, const std::string& payload, bool retained = false) {
    ++under_way_;
    link_->publish(topic, payload, 1, retained, [this](bool) {
      --under_way_;
      if (ended_ && under_way_ == 0) loop_.stop();
      if (full_ && ready_ && under_way_ < 100) {
        full_ = false;
        play();
      }
    });
  }

  void wait() {
    waits_ = true;
    timer_.expires_after(patience);
    timer_.async_wait([this](const boost::system::error_code& cancelled) {
      if (cancelled || !waits_) return;
      service_at_ = now_;  // nothing new to say for so long: a gap of the sensors
      play();
    });
  }

  std::string clock_, progress_;
  JsonLines lines_;
  boost::asio::io_context loop_;
  boost::asio::steady_timer timer_;
  std::optional<BrokerLink> link_;
  std::optional<CapturedMessage> held_;
  Instant now_{}, service_at_{};
  std::size_t under_way_ = 0;
  bool ready_ = false, waits_ = false, full_ = false, ended_ = false, failed_ = false;
};

}  // namespace

int main(int count, char** arguments) {
  if (count != 5) {
    std::cerr << usage;
    return 2;
  }
  const std::string_view port_text = arguments[1];
  std::uint16_t port = 0;
  const auto [end, error] = std::from_chars(port_text.data(), port_text.data() + port_text.size(), port);
  std::ifstream capture(arguments[4], std::ios::binary);
  if (error != std::errc() || end != port_text.data() + port_text.size() || !capture) {
    std::cerr << usage;
    return 2;
  }
  return Player(port, arguments[2], arguments[3], capture).run();
}
