#include "daemon/broker_link.h"

#include <mqtt/async_client.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <sys/socket.h>

#include <algorithm>
#include <atomic>
#include <boost/asio/io_context.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/steady_timer.hpp>
#include <deque>
#include <map>
#include <random>
#include <string_view>
#include <utility>
#include <vector>

#include "daemon/broker_options.h"
#include "daemon/refusal_words.h"
#include "rules/limits.h"

namespace overwinter {
namespace {

using namespace std::chrono_literals;

constexpr auto shortest_wait = 1s, longest_wait = 60s;
constexpr int most_descriptors = 1024;
// Of messages that the loop has not yet taken. A flood beyond it is dropped: memory is finite, and sensors say it
// again.
constexpr std::size_t most_waiting_bytes = std::size_t{16} << 20;
constexpr std::size_t message_overhead = 256;  // of one that waits
// Room beyond it for what nobody says again by himself: readings that carry their time, and beyond those commands.
constexpr std::size_t more_bytes_at_qos_1 = most_waiting_bytes / 4, more_bytes_for_commands = most_waiting_bytes / 2;
// Publications that may be under way at a time. The library holds back what is beyond the broker's Receive Maximum
// (MQTT 5, 3.2.2.3.3), and an acknowledgment does not wake its sender (its pull request 1457): it looks again 1 s
// later. So it never gets more than the broker takes, and our next one wakes it.
constexpr std::size_t most_under_way = 16;

// The library sets no TCP_NODELAY: an acknowledgment followed by a publication would wait 40 ms for the peer's.
void send_small_packets_at_once(std::uint16_t port) {
  for (int fd = 3; fd < most_descriptors; ++fd) {
    sockaddr_storage peer{};
    socklen_t size = sizeof peer;
    if (::getpeername(fd, reinterpret_cast<sockaddr*>(&peer), &size) != 0) continue;
    std::uint16_t peer_port = 0;
    if (peer.ss_family == AF_INET) peer_port = ntohs(reinterpret_cast<const sockaddr_in&>(peer).sin_port);
    if (peer.ss_family == AF_INET6) peer_port = ntohs(reinterpret_cast<const sockaddr_in6&>(peer).sin6_port);
    if (peer_port != port) continue;
    const int on = 1;
    ::setsockopt(fd, IPPROTO_TCP, TCP_NODELAY, &on, sizeof on);
  }
}

// A response topic is the asker's word: what no topic can be must not end our connection.
bool may_be_answered_on(std::string_view topic) {
  return !topic.empty() && topic.size() <= limits::topic_bytes &&
         topic.find_first_of(std::string_view("+#\0", 3)) == std::string_view::npos;
}

// In MQTT 3.1.1 the library's reason is no code of the standard, and its return code is.
int code_of(const mqtt::token& token) {
  const int reason = token.get_reason_code();
  return reason > 0 && reason < mqtt::MQTTPP_V3_CODE ? reason : token.get_return_code();
}

// What the broker asks for; without a word of it, ours.
std::chrono::seconds keep_alive_of(const mqtt::token& token) noexcept {
  try {
    const mqtt::connect_response response = token.get_connect_response();
    const mqtt::properties& properties = response.get_properties();
    if (!properties.contains(mqtt::property::SERVER_KEEP_ALIVE)) return keep_alive;
    return std::chrono::seconds(mqtt::get<std::uint16_t>(properties, mqtt::property::SERVER_KEEP_ALIVE));
  } catch (...) {
    return keep_alive;
  }
}

std::size_t receive_maximum(const mqtt::token& connected) noexcept {
  try {
    const mqtt::properties properties = connected.get_connect_response().get_properties();
    if (!properties.contains(mqtt::property::RECEIVE_MAXIMUM)) return most_under_way;
    const std::size_t most = mqtt::get<std::uint16_t>(properties, mqtt::property::RECEIVE_MAXIMUM);
    return std::clamp<std::size_t>(most, 1, most_under_way);
  } catch (...) {  // out of memory: one at a time is always right
    return 1;
  }
}

}  // namespace

struct BrokerLink::Impl : std::enable_shared_from_this<BrokerLink::Impl> {
  Impl(boost::asio::io_context& the_loop, BrokerSettings the_settings, Callbacks the_callbacks, std::uint64_t seed)
      : loop(the_loop),
        settings(std::move(the_settings)),
        callbacks(std::move(the_callbacks)),
        retry(loop),
        random(seed),
        on_connect(*this),
        on_delivery(*this),
        on_subscription(*this),
        client(uri_of(settings.spec), settings.client_id, create_options_of(settings.spec)) {
    fill(options, settings);
  }

  // Hands a function to the loop; the link lives until it has run. Called from the library's threads.
  template <class F>
  void post(F&& what) noexcept {
    try {
      boost::asio::post(loop, [self = shared_from_this(), what = std::forward<F>(what)]() mutable { what(*self); });
    } catch (...) {  // out of memory: the message is lost, the thread of a C library must not be
    }
  }

  struct OnConnect : virtual mqtt::iaction_listener {
    explicit OnConnect(Impl& the_link) : link(the_link) {}
    void on_success(const mqtt::token& token) override {
      send_small_packets_at_once(link.settings.spec.port);
      link.post([limit = keep_alive_of(token), most = receive_maximum(token)](Impl& self) {
        self.is_connected(limit, most);
      });
    }
    void on_failure(const mqtt::token& token) override {
      std::string why = "no connection";
      try {
        why = words_of_failed_connect(code_of(token), link.settings.spec.tls);
      } catch (...) {  // the words are a kindness
      }
      link.post([why = std::move(why)](Impl& self) { self.is_lost(why); });
    }
    Impl& link;
  };

  // The token carries the delivery's number where the library lets its user keep a pointer.
  struct OnDelivery : virtual mqtt::iaction_listener {
    explicit OnDelivery(Impl& the_link) : link(the_link) {}
    void on_success(const mqtt::token& token) override { tell(token, true); }
    void on_failure(const mqtt::token& token) override { tell(token, false); }
    void tell(const mqtt::token& token, bool delivered) noexcept {
      const auto number = reinterpret_cast<std::uintptr_t>(token.get_user_context());
      link.post([number, delivered, code = code_of(token)](Impl& self) { self.is_delivered(number, delivered, code); });
    }
    Impl& link;
  };

  // A subscription's number, in the same way.
  struct OnSubscription : virtual mqtt::iaction_listener {
    explicit OnSubscription(Impl& the_link) : link(the_link) {}
    void on_success(const mqtt::token& token) override { tell(token, code_of(token) < refused_from); }
    void on_failure(const mqtt::token& token) override { tell(token, false); }
    void tell(const mqtt::token& token, bool granted) noexcept {
      const auto number = reinterpret_cast<std::uintptr_t>(token.get_user_context());
      link.post([number, granted](Impl& self) { self.is_subscribed(number, granted); });
    }
    Impl& link;
  };

  void start() {
    client.set_message_callback([this](const mqtt::const_message_ptr& message) noexcept { arrived(message); });
    client.set_connection_lost_handler([this](const std::string& cause) {
      post([why = cause.empty() ? std::string("the connection broke") : cause](Impl& self) { self.is_lost(why); });
    });
    client.set_disconnected_handler([this](const mqtt::properties&, mqtt::ReasonCode reason) {
      const char* words = MQTTReasonCode_toString(static_cast<MQTTReasonCodes>(reason));
      const bool taken_over = reason == mqtt::ReasonCode::SESSION_TAKEN_OVER;
      post([why = std::string(words == nullptr ? "the broker ended the connection" : words), taken_over](Impl& self) {
        self.is_lost(why, taken_over);
        if (taken_over && !self.stopped && self.callbacks.taken_over) self.callbacks.taken_over();
      });
    });
    connect();
  }

  void connect() {
    waiting = false;
    if (stopped) return;
    try {
      client.connect(options, nullptr, on_connect);
    } catch (const std::exception& error) {
      is_lost(error.what());
    }
  }

  // The library does not keep to the broker's own keep-alive (MQTT 5, 3.2.2.3.14): a broker that asks for a shorter one
  // ends the first connection for its silence, and the next ones keep to it.
  void is_connected(std::chrono::seconds brokers_keep_alive, std::size_t may_be_under_way) {
    if (stopped) return;
    options.set_keep_alive_interval(std::min<std::chrono::seconds>(keep_alive, brokers_keep_alive));
    up = true;
    up_since = std::chrono::steady_clock::now();
    window = may_be_under_way;
    callbacks.connected();
  }

  void is_lost(const std::string& why, bool taken_over = false) {
    // Only one that outlasts the longest wait begins the waits anew: a rival that waits as long took none over.
    if (up && std::chrono::steady_clock::now() - up_since > longest_wait) wait = shortest_wait;
    if (taken_over) wait = longest_wait;
    up = false;
    if (waiting || stopped) return;  // the library may tell one loss twice
    waiting = true;
    asked.clear();
    refused.clear();
    give_up_deliveries();
    callbacks.lost(why);
    const double jitter = std::uniform_real_distribution<double>(0.5, 1.0)(random);
    const auto after = std::chrono::duration_cast<std::chrono::milliseconds>(wait * jitter);
    wait = std::min<std::chrono::milliseconds>(2 * wait, longest_wait);
    retry.expires_after(after);
    retry.async_wait([self = shared_from_this()](const boost::system::error_code& cancelled) {
      if (!cancelled) self->connect();
    });
  }

  void is_delivered(std::uintptr_t number, bool delivered, int code) {
    const auto found = deliveries.find(number);
    if (found == deliveries.end()) return;
    const Delivery delivery = std::move(found->second);
    deliveries.erase(found);
    if (!delivered && code >= refused_from && callbacks.not_taken) {
      callbacks.not_taken(delivery.topic, words_of_refusal(code));
    }
    if (delivery.done) delivery.done(delivered);
    send_what_may_leave();
  }

  void give_up_deliveries() {
    for (const auto& [number, delivery] : std::exchange(deliveries, {})) {
      if (delivery.done) delivery.done(false);
    }
    for (const Outgoing& waiting_one : std::exchange(outgoing, {})) {
      if (waiting_one.done) waiting_one.done(false);
    }
  }

  void is_subscribed(std::uintptr_t number, bool granted) {
    const auto found = asked.find(number);
    if (found == asked.end()) return;  // of a connection that is gone
    if (!granted) refused.push_back(std::move(found->second));
    asked.erase(found);
    if (asked.empty() && up && callbacks.subscribed) callbacks.subscribed(std::exchange(refused, {}));
  }

  void arrived(const mqtt::const_message_ptr& message) noexcept {
    try {
      // One byte above what is read tells as much as a megabyte above it.
      const std::string_view payload(message->get_payload_ref().data(),
                                     std::min(message->get_payload_ref().size(), limits::payload_bytes + 1));
      const std::size_t size = message->get_topic().size() + payload.size() + message_overhead;
      std::size_t more = message->get_qos() > 0 ? more_bytes_at_qos_1 : 0;
      if (!settings.commands.empty() && message->get_topic().starts_with(settings.commands)) {
        more = more_bytes_for_commands;
      }
      if (waiting_bytes + size > most_waiting_bytes + more) {
        ++dropped;
        return;
      }
      BrokerMessage m{message->get_topic(), std::string(payload), message->is_retained(), {}, {}};
      const mqtt::properties& properties = message->get_properties();
      if (properties.contains(mqtt::property::RESPONSE_TOPIC)) {
        m.response_topic = mqtt::get<std::string>(properties, mqtt::property::RESPONSE_TOPIC);
        if (!may_be_answered_on(m.response_topic)) m.response_topic.clear();
      }
      if (properties.contains(mqtt::property::CORRELATION_DATA)) {
        m.correlation = mqtt::get<std::string>(properties, mqtt::property::CORRELATION_DATA);
      }
      waiting_bytes += size;
      post([m = std::move(m), size](Impl& self) mutable {
        self.waiting_bytes -= size;
        self.callbacks.message(std::move(m));
        const std::uint64_t overrun = self.dropped.exchange(0);
        if (overrun > 0 && self.callbacks.dropped) self.callbacks.dropped(overrun);
      });
    } catch (...) {  // a message that cannot be copied is lost; the thread of a C library must not be
    }
  }

  void publish(const std::string& topic, const std::string& payload, int qos, bool retained,
               std::function<void(bool)> done, const std::string& correlation) {
    if (!up) {
      if (done) done(false);
      return;
    }
    mqtt::properties properties;
    if (!correlation.empty() && !settings.spec.mqtt_3_1_1) {
      properties.add(mqtt::property(mqtt::property::CORRELATION_DATA, mqtt::binary_ref(correlation)));
    }
    outgoing.push_back(
        {std::make_shared<mqtt::message>(topic, payload.data(), payload.size(), qos, retained, properties),
         std::move(done)});
    send_what_may_leave();
  }

  void send_what_may_leave() {
    while (!stopped && !outgoing.empty() && deliveries.size() < window) send_next();
  }

  void send_next() {
    Outgoing next = std::move(outgoing.front());
    outgoing.pop_front();
    const std::uintptr_t number = ++last_number;
    deliveries.emplace(number, Delivery{next.message->get_topic(), std::move(next.done)});
    try {
      // NOLINTNEXTLINE(performance-no-int-to-ptr): a number that the library carries for us
      last_sent = client.publish(next.message, reinterpret_cast<void*>(number), on_delivery);
    } catch (const std::exception&) {
      post([number](Impl& self) { self.is_delivered(number, false, 0); });
    }
  }

  void subscribe(const std::string& topic, int qos, bool as_published) {
    if (!up) return;
    const std::uintptr_t number = ++last_number;
    asked.emplace(number, topic);
    try {
      // NOLINTNEXTLINE(performance-no-int-to-ptr): the library carries it for us
      auto* const carried = reinterpret_cast<void*>(number);
      client.subscribe(
          topic, qos, carried, on_subscription,
          mqtt::subscribe_options(mqtt::subscribe_options::SUBSCRIBE_LOCAL, as_published && !settings.spec.mqtt_3_1_1));
    } catch (
        const std::exception&) {  // the connection is breaking: its loss is told, and each connect subscribes again
    }
  }

  void stop(Span limit) {
    if (stopped) return;
    stopped = true;
    up = false;
    retry.cancel();
    if (!outgoing.empty()) {  // of what waits only the last word; the rest is said again
      std::swap(outgoing.front(), outgoing.back());
      send_next();
    }
    try {
      // The library looks every 3 s only whether what is on its way has arrived: without this wait each end takes that.
      if (client.is_connected() && last_sent) last_sent->wait_for(limit / 2);
      if (client.is_connected()) client.disconnect(limit / 2)->wait_for(limit / 2);
    } catch (const std::exception&) {  // it is gone already
    }
    // After what the library has posted by now: what was delivered is told as delivered.
    post([](Impl& self) { self.give_up_deliveries(); });
  }

  boost::asio::io_context& loop;
  BrokerSettings settings;
  Callbacks callbacks;
  mqtt::connect_options options;
  boost::asio::steady_timer retry;
  std::mt19937_64 random;
  OnConnect on_connect;
  OnDelivery on_delivery;
  OnSubscription on_subscription;
  std::chrono::milliseconds wait = shortest_wait;
  std::chrono::steady_clock::time_point up_since;
  struct Outgoing {
    mqtt::message_ptr message;
    std::function<void(bool)> done;  // may be empty
  };
  struct Delivery {
    std::string topic;
    std::function<void(bool)> done;  // may be empty
  };
  std::deque<Outgoing> outgoing;  // waits until there is room in the window
  std::size_t window = 1;
  std::map<std::uintptr_t, Delivery> deliveries;  // under way
  std::map<std::uintptr_t, std::string> asked;    // subscriptions that the broker has not answered yet: their topics
  std::vector<std::string> refused;               // of those that it has
  std::uintptr_t last_number = 0;                 // of deliveries and subscriptions
  mqtt::delivery_token_ptr last_sent;             // the broker acknowledges in order (MQTT 5, 4.6)
  bool up = false;
  bool waiting = false;  // for the next attempt
  bool stopped = false;
  std::atomic<std::size_t> waiting_bytes = 0;
  std::atomic<std::uint64_t> dropped = 0;
  mqtt::async_client client;  // the last: its threads end before what they touch
};

BrokerLink::BrokerLink(boost::asio::io_context& loop, BrokerSettings settings, Callbacks callbacks, std::uint64_t seed)
    : impl_(std::make_shared<Impl>(loop, std::move(settings), std::move(callbacks), seed)) {}

BrokerLink::~BrokerLink() { stop(std::chrono::seconds(1)); }

void BrokerLink::start() { impl_->start(); }
bool BrokerLink::connected() const { return impl_->up; }
void BrokerLink::subscribe(const std::string& topic, int qos, bool as_published) {
  impl_->subscribe(topic, qos, as_published);
}
void BrokerLink::publish(const std::string& topic, const std::string& payload, int qos, bool retained,
                         std::function<void(bool delivered)> done, const std::string& correlation) {
  impl_->publish(topic, payload, qos, retained, std::move(done), correlation);
}
void BrokerLink::stop(Span limit) { impl_->stop(limit); }

}  // namespace overwinter
