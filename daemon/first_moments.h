// Signals before the service listens to any: while it reads its command line and its site file.
#pragma once

#include <csignal>
#include <cstdlib>

#include "daemon/service.h"

namespace overwinter {

extern "C" inline void stop_at_once(int) { std::_Exit(exit_stopped); }

// SIG_BLOCK: a reload waits; SIG_UNBLOCK: it waits no more.
inline void mask_reload(int how) {
  sigset_t reload;
  sigemptyset(&reload);
  sigaddset(&reload, SIGHUP);
  pthread_sigmask(how, &reload, nullptr);
}

// The first thing in main, while there is one thread. There is nothing to put in order yet: a signal that stops ends
// the program as it would later. A reload waits.
inline void begin_first_moments() {
  std::signal(SIGTERM, stop_at_once);
  std::signal(SIGINT, stop_at_once);
  mask_reload(SIG_BLOCK);
}

// Once the loop hears of signals, and before it has threads beside it.
inline void end_first_moments() { mask_reload(SIG_UNBLOCK); }

}  // namespace overwinter
