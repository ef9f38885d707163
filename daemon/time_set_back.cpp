#include "daemon/time_set_back.h"

#include "daemon/refused_anew.h"

namespace overwinter {

std::optional<JournaledInput> as_of(const JournaledInput& input, Instant as_of, std::string_view topic_root) {
  if (input.at <= as_of) return input;
  std::optional<JournaledInput> said = as_command_under(input, topic_root);
  if (said) said->at = as_of;
  return said;
}

}  // namespace overwinter
