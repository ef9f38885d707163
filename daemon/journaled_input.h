// One input as it was applied: what the journal holds, and what recovery applies again in the same order.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>

#include "rules/quantity/time.h"

namespace overwinter {

// Of inputs, kept in memory while no file can be written.
inline constexpr std::size_t most_kept_inputs = 100'000, most_kept_bytes = std::size_t{32} << 20;

struct JournaledInput {
  // The numbers stand in journals: never reuse one.
  enum class Kind : std::uint8_t {
    message = 0,
    tick = 1,
    link_up = 2,
    link_down = 3,
    journal_writable = 4,
    journal_unwritable = 5,
  };
  std::uint64_t number = 0;  // 1, 2, 3, ... in the order applied
  Instant at{};
  Kind kind = Kind::tick;
  std::string topic, payload;  // of a message; payload of an unwritable journal: why
  bool retained = false;

  std::size_t bytes() const { return topic.size() + payload.size(); }
};

}  // namespace overwinter
