// overwinter validate: is the site file sound?
#pragma once

#include <string>

#include "daemon/console.h"

namespace overwinter {

struct ValidateOptions {
  std::string site;  // path
  bool json = false;
};

// Problems and the verdict go to console.out: they are the answer.
int validate(const ValidateOptions& options, const Console& console);

}  // namespace overwinter
