#include "tests/broker/stepped_clock.h"

#include <cstdlib>
#include <filesystem>
#include <stdexcept>

#include "rules/quantity/time.h"

namespace overwinter::rig {

using std::chrono::milliseconds;

SteppedClock::SteppedClock(const Folder& folder, const std::string& wall, bool synchronized) : folder_(folder) {
  show(wall, synchronized);
}

void SteppedClock::show(const std::string& wall, bool synchronized) {
  const auto at = parse_rfc3339(wall);
  if (!at) throw std::runtime_error("no time: " + wall);
  wall_ = std::chrono::duration_cast<milliseconds>(at->time_since_epoch() -
                                                   std::chrono::system_clock::now().time_since_epoch());
  synchronized_ = synchronized;
  write();
}

void SteppedClock::step(milliseconds by) {
  wall_ += by;
  write();
}

void SteppedClock::elapse(milliseconds by) {
  wall_ += by;
  steady_ += by;
  write();
}

std::vector<std::string> SteppedClock::environment() const {
  const char* asan = std::getenv("ASAN_OPTIONS");  // NOLINT(concurrency-mt-unsafe): nobody sets it
  return {"LD_PRELOAD=" STEPPED_CLOCK_LIBRARY, "STEPPED_CLOCK=" + folder_ / "stepped_clock",
          std::string("ASAN_OPTIONS=verify_asan_link_order=0:") + (asan == nullptr ? "" : asan)};
}

// Whole at any moment: the service may be reading it.
void SteppedClock::write() const {
  const std::string fresh =
      folder_.write("stepped_clock.new", std::to_string(wall_.count()) + " " + std::to_string(steady_.count()) + " " +
                                             (synchronized_ ? "1" : "0") + "\n");
  std::filesystem::rename(fresh, folder_ / "stepped_clock");
}

}  // namespace overwinter::rig
