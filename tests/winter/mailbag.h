// Collects messages in any order and writes them in order of time.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "rules/quantity/time.h"

namespace overwinter {

class Mailbag {
 public:
  void add(Instant at, std::string_view topic, std::string payload);
  // A command of a person.
  void command(Instant at, std::string_view command, std::string payload);
  std::string lines();

 private:
  struct Message {
    Instant at;
    std::string topic, payload;
  };
  std::vector<Message> messages_;
};

}  // namespace overwinter
