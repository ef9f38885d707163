// What time it is, as far as that may be believed: a board without a clock chip starts in the past, one with an empty
// cell anywhere, and a clock may be set. The engine's time never goes back; this decides when wall time may drive it.
#pragma once

#include <optional>

#include "rules/quantity/time.h"

namespace overwinter {

// What the kernel knows at one moment. Passed in, so that tests make the moments.
struct ClockReading {
  Instant wall{};
  Span steady{};              // since boot, also while the machine slept; never stepped
  bool synchronized = false;  // the kernel's clock is disciplined by a time service
};

ClockReading read_clocks();  // trusted_clock_kernel.cpp

class TrustedClock {
 public:
  // newest: of what the journal holds; nothing: it is empty. Without synchronization wall time is trusted from the
  // start when it is later than the program and than all that the journal holds, and by no more than a year and a half.
  TrustedClock(const ClockReading& first, std::optional<Instant> newest);

  struct Now {
    Instant at{};
    bool trusted = false;
    Span stepped{};  // how far time went beyond what elapsed since the last reading; a gap when it is forward
    // Trusted time lies more than a day behind what was told before: the state as of `at` is to be made anew from the
    // journal (time_set_back.h). Told once.
    bool set_back = false;
  };
  // While wall time is not trusted the answer goes on from the last one by elapsed time; so calendar work may come late
  // and never early. A step of more than 5 min against the steady clock ends the trust until the kernel says that it is
  // synchronized. Trusted time that is up to a day behind is waited for at half speed: delays and silences go on.
  Now read(const ClockReading& reading);

 private:
  Instant last_{};
  ClockReading before_{};
  bool trusted_ = false;
};

}  // namespace overwinter
