// overwinter capture: the live messages that the site file binds, and its commands, to a file that replays.
#pragma once

#include <string>

#include "daemon/console.h"

namespace overwinter {

struct CaptureOptions {
  std::string site;
  std::string file;         // `-` is standard output; an existing file is not written over
  std::string capture_for;  // empty: until SIGINT
  bool json = false;        // at the end one JSON object on standard error
};

// Each message stands in the file before the next one is looked at. Ended by SIGINT it is done.
int capture(const CaptureOptions& options, const Console& console);

}  // namespace overwinter
