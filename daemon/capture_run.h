// Runs captured messages through an engine in virtual time: what replay and explain share.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "daemon/console.h"
#include "daemon/story.h"
#include "rules/engine/engine.h"

namespace overwinter {

struct CaptureRun {
  std::shared_ptr<const Plan> plan;
  std::vector<std::string> files;  // in this order; `-` is standard input
  std::optional<Instant> until;    // later lines are left out; virtual time ends here

  // Answers of the run, filled by run().
  std::optional<Engine> engine;  // nothing: not a single message
  Instant from{}, to{};
  ReplayCounts counts;
  bool unreadable_file = false;

  // Each step's output, in order. Broken lines and files that cannot be read are told on console.err.
  void run(const Console& console, const std::function<void(const Output&)>& take);
};

// RFC 3339, or a date: the start of that day in the zone.
std::optional<Instant> parse_until(const std::string& text, const TimeZone& zone);

}  // namespace overwinter
