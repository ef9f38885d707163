// Where messages leave: the connection to the broker, as those see it who only speak.
#pragma once

#include <functional>
#include <string>

namespace overwinter {

class Publisher {
 public:
  virtual ~Publisher() = default;

  virtual bool connected() const = 0;
  // Without a connection it does nothing, and `done` is told false.
  virtual void publish(const std::string& topic, const std::string& payload, int qos, bool retained,
                       std::function<void(bool delivered)> done = {}, const std::string& correlation = {}) = 0;
};

}  // namespace overwinter
