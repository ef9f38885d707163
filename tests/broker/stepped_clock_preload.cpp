// Loaded into a service under test before its libraries: the three calls from which it knows the time answer as the
// test says in the file $STEPPED_CLOCK ("WALL_MS STEADY_MS SYNCHRONIZED": what lies beyond the real clocks). All other
// clocks stay, so timers and the libraries' own waits are real.
#include <sys/syscall.h>
#include <sys/timex.h>
#include <unistd.h>

#include <chrono>
#include <cstdio>
#include <cstdlib>

namespace {

struct Shift {
  long long wall = 0, steady = 0;
  int synchronized = 0;
};

Shift shift() {
  Shift s;
  const char* file = std::getenv("STEPPED_CLOCK");
  std::FILE* in = file == nullptr ? nullptr : std::fopen(file, "re");
  if (in == nullptr) return s;
  if (std::fscanf(in, "%lld %lld %d", &s.wall, &s.steady, &s.synchronized) != 3) s = {};
  std::fclose(in);
  return s;
}

timespec real(clockid_t clock) {
  timespec t{};
  ::syscall(SYS_clock_gettime, clock, &t);
  return t;
}

}  // namespace

std::chrono::system_clock::time_point std::chrono::system_clock::now() noexcept {
  const timespec t = real(CLOCK_REALTIME);
  return time_point(seconds(t.tv_sec) + nanoseconds(t.tv_nsec) + milliseconds(shift().wall));
}

extern "C" int clock_gettime(clockid_t clock, timespec* t) noexcept {
  *t = real(clock);
  if (clock != CLOCK_BOOTTIME) return 0;
  const long long ms = shift().steady + t->tv_nsec / 1'000'000;
  t->tv_sec += ms / 1000;
  t->tv_nsec = (ms % 1000) * 1'000'000 + t->tv_nsec % 1'000'000;
  return 0;
}

extern "C" int adjtimex(timex* state) noexcept {
  *state = {};
  state->status = shift().synchronized != 0 ? 0 : STA_UNSYNC;
  return TIME_OK;
}
