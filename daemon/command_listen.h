// overwinter listen: hears the broker for a while and proposes bindings for what the site file does not name yet.
#pragma once

#include <string>

#include "daemon/console.h"

namespace overwinter {

struct ListenOptions {
  std::string site;
  std::string topic = "#";  // a topic filter
  std::string listen_for = "60 s";
  bool json = false;
};

// SIGINT ends it early, with what was heard so far. exit_no: nothing came.
int listen(const ListenOptions& options, const Console& console);

}  // namespace overwinter
