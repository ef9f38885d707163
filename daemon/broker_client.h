// A short visit to the broker, for the person's commands: connect, subscribe, publish, hear what comes for a while.
// Each call blocks, at most as long as it is told. A visit has a client id of its own and a clean session: it never
// takes the service's place at the broker.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <string>

#include "daemon/broker_link.h"
#include "rules/quantity/time.h"
#include "rules/result.h"

namespace overwinter {

class BrokerClient {
 public:
  // `seed` makes the client id, which no two visits at a time may share.
  BrokerClient(const BrokerSpec& spec, const std::string& password, std::uint64_t seed);
  ~BrokerClient();
  BrokerClient(const BrokerClient&) = delete;
  BrokerClient& operator=(const BrokerClient&) = delete;

  // A fault says which broker, and why not. SIGINT and SIGTERM end this call and the ones below.
  Result<void> connect(Span limit);

  // Said again by itself when the connection broke and came back.
  void subscribe(const std::string& topic, int qos, bool as_published = false);

  // At QoS 1, unretained. True: the broker has it.
  bool publish(const std::string& topic, const std::string& payload, Span limit);
  // Why the broker did not take what was published; empty: it said nothing of the kind.
  const std::string& refusal() const;

  enum class Go : std::uint8_t { on, enough };
  enum class Heard : std::uint8_t { enough, time_is_up, quiet, interrupted };
  // Gives `take` each message that comes, those that came during publish() first. Ends when it has enough; when
  // nothing came for as long as `quiet`; when the limit is over. Span::max(): without that bound.
  Heard hear(Span limit, Span quiet, const std::function<Go(const BrokerMessage&)>& take);
  // Called once a second while hear() waits.
  void each_second(std::function<void()> tick);

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

}  // namespace overwinter
