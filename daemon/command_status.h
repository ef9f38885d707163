// overwinter status: how things stand, from the retained topics of the running service.
#pragma once

#include <string>

#include "daemon/console.h"
#include "rules/quantity/time.h"

namespace overwinter {

struct StatusOptions {
  std::string site;
  bool all = false;  // computed quantities too
  bool json = false;
  Instant now{};
};

// exit_no: an active alarm of medium priority or above. exit_unreachable: no broker, or the service is not watching:
// then silence means nothing.
int status(const StatusOptions& options, const Console& console);

}  // namespace overwinter
