#include "daemon/broker_client.h"

#include <fmt/format.h>

#include <algorithm>
#include <boost/asio/io_context.hpp>
#include <boost/asio/signal_set.hpp>
#include <boost/asio/steady_timer.hpp>
#include <csignal>
#include <deque>
#include <optional>
#include <utility>
#include <vector>

namespace overwinter {
namespace {

using namespace std::chrono_literals;

constexpr Span farewell = 1s;

}  // namespace

struct BrokerClient::Impl {
  Impl(const BrokerSpec& the_spec, const std::string& password, std::uint64_t seed)
      : spec(the_spec), signals(loop, SIGINT, SIGTERM) {
    link = std::make_unique<BrokerLink>(loop, settings(the_spec, password, seed), callbacks(), seed);
    signals.async_wait([this](const boost::system::error_code& cancelled, int) {
      if (cancelled) return;
      interrupted = true;
      loop.stop();
    });
  }

  static BrokerSettings settings(const BrokerSpec& spec, const std::string& password, std::uint64_t seed) {
    BrokerSettings s;
    s.spec = spec;
    s.client_id = fmt::format("overwinter-visit-{:016x}", seed);
    s.password = password;
    return s;
  }

  BrokerLink::Callbacks callbacks() {
    BrokerLink::Callbacks c;
    c.connected = [this] {
      for (const Subscription& s : topics) link->subscribe(s.topic, s.qos, s.as_published);
      loop.stop();
    };
    c.lost = [this](const std::string& why) {
      lost = why;
      loop.stop();
    };
    c.not_taken = [this](const std::string&, const std::string& why) { refusal = why; };
    c.message = [this](BrokerMessage message) {
      messages.push_back(std::move(message));
      loop.stop();
    };
    return c;
  }

  // Runs the loop until something happened or the time is over. False: the latter.
  bool wait_until(std::chrono::steady_clock::time_point end) {
    if (interrupted) return true;
    loop.restart();
    loop.run_until(end);
    return std::chrono::steady_clock::now() < end;
  }

  static std::chrono::steady_clock::time_point after(Span span) {
    const auto now = std::chrono::steady_clock::now();
    return span == Span::max() ? std::chrono::steady_clock::time_point::max() : now + span;
  }

  BrokerSpec spec;
  boost::asio::io_context loop{1};
  boost::asio::signal_set signals;
  struct Subscription {
    std::string topic;
    int qos;
    bool as_published;
  };
  std::vector<Subscription> topics;
  std::deque<BrokerMessage> messages;
  std::optional<std::string> lost;
  std::string refusal;
  std::function<void()> tick;
  bool interrupted = false;
  std::unique_ptr<BrokerLink> link;
};

BrokerClient::BrokerClient(const BrokerSpec& spec, const std::string& password, std::uint64_t seed)
    : impl_(std::make_unique<Impl>(spec, password, seed)) {}

BrokerClient::~BrokerClient() {
  impl_->link->stop(farewell);
  impl_->link.reset();
  impl_->loop.restart();
  impl_->loop.poll();  // what the library's threads had posted holds the link: it ends here, before the loop does
}

Result<void> BrokerClient::connect(Span limit) {
  Impl& i = *impl_;
  i.lost.reset();
  i.link->start();
  const auto end = Impl::after(limit);
  while (!i.link->connected() && !i.lost && !i.interrupted && i.wait_until(end)) {
  }
  if (i.link->connected()) return {};
  const std::string why = i.interrupted ? "interrupted" : i.lost.value_or("no answer");
  return fault(fmt::format("cannot connect to the broker at {}:{}: {}", i.spec.host, i.spec.port, why),
               "does it run, and are `broker` in the site file and its password right?");
}

void BrokerClient::subscribe(const std::string& topic, int qos, bool as_published) {
  impl_->topics.push_back({topic, qos, as_published});
  impl_->link->subscribe(topic, qos, as_published);
}

bool BrokerClient::publish(const std::string& topic, const std::string& payload, Span limit) {
  Impl& i = *impl_;
  // Shared: a delivery that is told after the limit finds it still.
  const auto delivered = std::make_shared<std::optional<bool>>();
  i.link->publish(topic, payload, 1, false, [delivered, &loop = i.loop](bool done) {
    *delivered = done;
    loop.stop();
  });
  const auto end = Impl::after(limit);
  while (!delivered->has_value() && !i.interrupted && i.wait_until(end)) {
  }
  return delivered->value_or(false);
}

const std::string& BrokerClient::refusal() const { return impl_->refusal; }

BrokerClient::Heard BrokerClient::hear(Span limit, Span quiet, const std::function<Go(const BrokerMessage&)>& take) {
  Impl& i = *impl_;
  const auto end = Impl::after(limit);
  auto quiet_end = Impl::after(quiet), next_tick = Impl::after(1s);
  for (;;) {
    while (!i.messages.empty()) {
      const BrokerMessage message = std::move(i.messages.front());
      i.messages.pop_front();
      quiet_end = Impl::after(quiet);
      if (take(message) == Go::enough) return Heard::enough;
    }
    if (i.interrupted) return Heard::interrupted;
    const auto now = std::chrono::steady_clock::now();
    if (now >= end) return Heard::time_is_up;
    if (now >= quiet_end) return Heard::quiet;
    if (now >= next_tick) {
      if (i.tick) i.tick();
      next_tick = Impl::after(1s);
    }
    i.wait_until(std::min({end, quiet_end, next_tick}));
  }
}

void BrokerClient::each_second(std::function<void()> tick) { impl_->tick = std::move(tick); }

}  // namespace overwinter
