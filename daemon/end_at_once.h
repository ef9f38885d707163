// How a program ends that has used the broker's library.
#pragma once

#include <cstdio>
#include <cstdlib>
#include <iostream>

namespace overwinter {

// The library does not wait for its threads, and what OpenSSL keeps for one of them would be freed twice: as it ends,
// and by the exit handlers. What was written leaves first; nothing else of ours rests on those handlers.
[[noreturn]] inline void end_at_once(int exit_code) {
  std::cout.flush();
  std::cerr.flush();
  std::fflush(nullptr);
  std::_Exit(exit_code);
}

}  // namespace overwinter
