// The connection to the broker. The only files that know the MQTT library are broker_link.cpp and, for what it is told
// before it connects and for its words, broker_options.cpp and refusal_words.cpp.
//
// Everything happens on the loop's thread: the library's threads only post to it, and no exception leaves a handler.
// A broker that is down is no error: the link tries again, 1 s to 60 s apart and jittered, until stop(). The waits grow
// also from one short connection to the next, and one that another client took over is followed by the longest: two of
// one client id would else take it from each other once a second, for ever. Nothing is queued here while there is no
// connection: what must arrive stands in the journal, what is a level is said again on each connect.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "daemon/publisher.h"
#include "rules/engine/plan.h"

namespace boost::asio {
class io_context;
}

namespace overwinter {

struct BrokerMessage {
  std::string topic, payload;
  bool retained = false;
  std::string response_topic, correlation;  // MQTT 5 request and response
};

struct BrokerSettings {
  BrokerSpec spec;
  std::string client_id;
  std::string password;                  // never logged
  std::string commands;                  // what begins with it has room when all else is full; empty: nothing
  bool keeps_session = false;            // the broker holds commands for us over a restart, for a day
  std::string will_topic, will_payload;  // empty: none
  Span will_delay{};                     // MQTT 5 only
};

class BrokerLink final : public Publisher {
 public:
  struct Callbacks {
    std::function<void()> connected;  // subscribe and say the retained state again: the broker may have forgotten both
    std::function<void(const std::string& why)> lost;  // also a connect that failed; it tries again by itself
    std::function<void()> taken_over{};          // after lost: the broker says that another one came with our client id
    std::function<void(BrokerMessage)> message;  // a payload above the limit comes cut one byte above it
    std::function<void(std::uint64_t messages)> dropped{};  // they came faster than they could be taken
    // Once all subscriptions that were asked for are answered: the topics that the broker refuses us. Empty: none.
    std::function<void(const std::vector<std::string>& topics)> subscribed{};
    std::function<void(const std::string& topic, const std::string& why)> not_taken{};  // what we publish on it
  };

  // `seed` jitters the retries.
  BrokerLink(boost::asio::io_context& loop, BrokerSettings settings, Callbacks callbacks, std::uint64_t seed);
  ~BrokerLink() override;
  BrokerLink(const BrokerLink&) = delete;
  BrokerLink& operator=(const BrokerLink&) = delete;

  void start();
  bool connected() const override;

  // Without a connection these do nothing, and `done` is told false.
  // as_published: `retained` says how a message was published, not only that the broker had kept it (MQTT 5 alone).
  void subscribe(const std::string& topic, int qos, bool as_published = false);
  void publish(const std::string& topic, const std::string& payload, int qos, bool retained,
               std::function<void(bool delivered)> done = {}, const std::string& correlation = {}) override;

  // Ends the connection in order, at most so long. What was delivered by then, and messages that the broker thinks have
  // arrived, are told on the loop, later.
  void stop(Span limit);

 private:
  struct Impl;
  std::shared_ptr<Impl> impl_;  // handlers that are still under way hold it
};

}  // namespace overwinter
