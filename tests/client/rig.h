// The person's commands, run to their end against a broker of their own and, if wanted, a service.
#pragma once

#include <sys/types.h>

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "tests/broker/rig.h"

namespace overwinter {

using rig::eventually;

struct Ran {
  int code = -1;
  std::string out, err;
};

class Rig {
 public:
  // broker_keys: beside host and port in the site file, as in "protocol: mqtt_3_1_1".
  explicit Rig(const std::string& broker_keys = "", const std::string& host = "127.0.0.1");

  void start_broker(const rig::BrokerOptions& options = {});
  rig::Broker& broker() { return *broker_; }
  void start_service();
  void stop_service();

  // `overwinter ARGUMENTS` with the rig's site, to its end.
  Ran overwinter(const std::vector<std::string>& arguments) const;
  // The same, with `meanwhile` called once it has begun.
  Ran overwinter(const std::vector<std::string>& arguments, const std::function<void(pid_t)>& meanwhile) const;
  void publish(const std::string& topic, const std::string& payload) const;
  // The broker has logged so many subscriptions to the topic.
  bool waits_for_subscription(const std::string& topic, std::size_t count = 1) const;

  const rig::Folder& folder() const { return folder_; }
  std::string site() const { return folder_ / "site.yaml"; }

 private:
  rig::Folder folder_;
  std::uint16_t port_, plain_port_;  // plain: whatever the site's listener asks for, anybody may publish here
  std::unique_ptr<rig::Broker> broker_;
  std::unique_ptr<rig::Process> service_;
  std::size_t services_ = 0;  // started so far
};

}  // namespace overwinter
