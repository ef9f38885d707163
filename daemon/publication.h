// One message to the broker.
#pragma once

#include <string>

namespace overwinter {

struct Publication {
  std::string topic;
  std::string payload;  // empty and retained: the retained message is taken away
  bool retained = true;
  int qos = 1;
};

}  // namespace overwinter
