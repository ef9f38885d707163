// overwinter record, act, done, skip, acknowledge, shelve, unshelve, take_out, put_back, season: tells the running
// service what a person did or saw, and prints its answer.
#pragma once

#include <string>

#include "daemon/console.h"
#include "daemon/told_command.h"
#include "rules/quantity/time.h"

namespace overwinter {

struct TellOptions {
  std::string site;
  GivenCommand given;
  std::string by;  // empty: $USER
  std::string id;  // empty: a random one; the same id within 24 h is answered again and not carried out twice
  bool json = false;
  Instant now{};
};

// exit_no: refused, here or by the service. exit_unreachable: no broker, or no answer in 10 s; then the command may
// still arrive, and the id that is printed asks for its answer without carrying it out twice.
int tell(TellOptions options, const Console& console);

}  // namespace overwinter
