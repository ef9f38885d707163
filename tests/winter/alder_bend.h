// A winter at Alder Bend as the messages that the broker would have passed on. Same options, same bytes.
#pragma once

#include <cstdint>
#include <string>

#include "rules/quantity/time.h"

namespace overwinter {

struct WinterOptions {
  std::uint64_t seed = 7;
  int days = 172;               // from the lay-up, 2026-10-31
  Span every{10 * one_minute};  // between two messages of a topic
};

// JSON Lines: at, topic, payload.
std::string alder_bend_winter(const WinterOptions& options);

}  // namespace overwinter
