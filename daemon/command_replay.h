// overwinter replay: captured messages through the engine in virtual time. No broker, journal or wall clock.
#pragma once

#include <string>
#include <vector>

#include "daemon/console.h"

namespace overwinter {

struct ReplayOptions {
  std::string site;                // path
  std::vector<std::string> files;  // `-` is standard input
  std::string until;               // empty: the last line
  bool summary = false;            // lines for a person also where the output is no terminal
  bool json = false;               // JSON Lines also on a terminal
};

int replay(const ReplayOptions& options, const Console& console);

}  // namespace overwinter
