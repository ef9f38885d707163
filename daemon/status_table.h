// How things stand, as a person or a program reads it. Pure.
#pragma once

#include <cstddef>
#include <string>

#include "daemon/status_report.h"

namespace overwinter {

struct StatusLayout {
  std::size_t columns = 80;  // below 72 each reading becomes a sentence that is wrapped
  bool computed = false;     // computed quantities too
};

// Lines that fit the width but for single words that are longer than it.
std::string status_table(const Status& status, const Plan& plan, Instant now, const StatusLayout& layout);
// One object; payloads as they were published.
std::string status_json(const Status& status, const Plan& plan);

}  // namespace overwinter
