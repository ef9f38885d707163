// A clock of its own for a service under test: it stands where the test puts it, and can be stepped while the service
// runs. stepped_clock_preload.cpp is loaded into the service for it.
#pragma once

#include <chrono>
#include <string>
#include <vector>

#include "tests/broker/rig.h"

namespace overwinter::rig {

class SteppedClock {
 public:
  // It shows `wall` (RFC 3339) now and goes on from there.
  SteppedClock(const Folder& folder, const std::string& wall, bool synchronized);

  void show(const std::string& wall, bool synchronized);
  void step(std::chrono::milliseconds by);    // the wall clock alone
  void elapse(std::chrono::milliseconds by);  // both: so much time passes at once
  std::vector<std::string> environment() const;

 private:
  void write() const;
  const Folder& folder_;
  std::chrono::milliseconds wall_{}, steady_{};  // beyond the real ones
  bool synchronized_ = false;
};

}  // namespace overwinter::rig
