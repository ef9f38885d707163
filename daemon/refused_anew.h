// Commands that the journal holds as accepted, and that another site file refuses when they are read again: what a
// person said must not be lost without a word. Pure.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/caretaker.h"
#include "daemon/journaled_input.h"

namespace overwinter {

class RefusedAnew {
 public:
  struct Command {
    Instant at{};
    std::string name, payload, why;
  };

  // An input of the journal, and what it told when it was read again.
  void take(const JournaledInput& input, const Told& told);
  // An event as the journal holds it: what was refused at that time is no loss.
  void take(std::string_view event_json);

  // In order; the same command sent twice stands once.
  const std::vector<Command>& all() const { return commands_; }
  // "act right_front_tire": those of them that tell what was seen or done. What was said of an alarm went with it.
  std::vector<std::string> in_words() const;

 private:
  std::vector<Command> commands_;
};

// A message that nothing binds, as the command that it was under another topic_root; nothing: it was none.
std::optional<JournaledInput> as_command_under(const JournaledInput& input, std::string_view topic_root);

}  // namespace overwinter
