// What time it is, as far as that may be believed: a board without a clock chip starts in the past, and a clock may be
// set. The engine's time never goes back; this decides when wall time may drive it.
#pragma once

#include <optional>

#include "rules/quantity/time.h"

namespace overwinter {

// What the kernel knows at one moment. Passed in, so that tests make the moments.
struct ClockReading {
  Instant wall{};
  Span steady{};              // since boot, never stepped
  bool synchronized = false;  // the kernel's clock is disciplined by a time service
};

ClockReading read_clocks();  // trusted_clock_kernel.cpp

class TrustedClock {
 public:
  // newest: of what the journal holds; nothing: it is empty. Wall time is trusted from the start when it is
  // synchronized, or later than all that the journal holds and than the program itself.
  TrustedClock(const ClockReading& first, std::optional<Instant> newest);

  struct Now {
    Instant at{};
    bool trusted = false;
    Span stepped{};  // how far time went beyond what elapsed since the last reading; a gap when it is forward
  };
  // While wall time is not trusted the answer goes on from the last one by elapsed time. A step of more than 5 min
  // against the steady clock ends the trust until the kernel says that it is synchronized.
  Now read(const ClockReading& reading);

 private:
  Instant last_{};
  ClockReading before_{};
  bool trusted_ = false;
};

}  // namespace overwinter
