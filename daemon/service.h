// The service: one loop that owns engine, journal and broker link. What it does with an input:
// step the caretaker; commit what was told, with every input before it; then tell the broker.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "daemon/service_log.h"
#include "rules/engine/plan.h"

namespace overwinter {

struct ServiceOptions {
  std::string site;
  std::string journal;  // empty: by the site file, then $STATE_DIRECTORY, then /var/lib/overwinter
  std::uint64_t journal_bytes = 256'000'000;  // of the journal: readings beyond it leave early, as hourly values
  std::string clock_topic;                    // not empty: time is what this topic says (RFC 3339), for demos and tests
  LogLevel log = LogLevel::info;
};

inline constexpr int exit_stopped = 0;
inline constexpr int exit_site_not_valid = 1;
inline constexpr int exit_journal_held = 4;
inline constexpr int exit_failed = 70;  // EX_SOFTWARE of sysexits.h: another start may mend it

// Runs until SIGTERM or SIGINT; the exit code.
int run_service(const ServiceOptions& options);

}  // namespace overwinter
