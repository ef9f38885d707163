// overwinter explain: why each reading is judged as it is, from a site file and captured messages.
#pragma once

#include <string>
#include <vector>

#include "daemon/console.h"
#include "rules/quantity/time.h"

namespace overwinter {

struct ExplainOptions {
  std::string site;                // path
  std::string gear;                // id of gear, a place or the site; empty: all
  std::vector<std::string> files;  // captures; empty: as the site stands without a message
  std::string at;                  // empty: the last message's time; without one lay-up, else `now`
  Instant now{};
  bool json = false;
};

int explain_gear(const ExplainOptions& options, const Console& console);

}  // namespace overwinter
