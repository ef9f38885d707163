#include <sys/timex.h>

#include "daemon/trusted_clock.h"

namespace overwinter {

// By system call, for a hardened unit hides /proc/sys and the like.
ClockReading read_clocks() {
  using namespace std::chrono;
  ClockReading reading;
  reading.wall = floor<milliseconds>(system_clock::now());
  timespec boot{};
  clock_gettime(CLOCK_BOOTTIME, &boot);  // counts while the machine sleeps
  reading.steady = duration_cast<milliseconds>(seconds(boot.tv_sec) + nanoseconds(boot.tv_nsec));
  timex state{};
  reading.synchronized = adjtimex(&state) != -1 && (state.status & STA_UNSYNC) == 0;
  return reading;
}

}  // namespace overwinter
