#include "daemon/readiness.h"

#include <systemd/sd-daemon.h>

#include <cstdint>

namespace overwinter {

void tell_ready(const std::string& status) { sd_notify(0, ("READY=1\nSTATUS=" + status).c_str()); }
void tell_status(const std::string& status) { sd_notify(0, ("STATUS=" + status).c_str()); }
void tell_reloading() { sd_notify(0, "RELOADING=1"); }
void tell_stopping() { sd_notify(0, "STOPPING=1"); }
void tell_alive() { sd_notify(0, "WATCHDOG=1"); }

std::optional<Span> alive_interval() {
  std::uint64_t microseconds = 0;
  if (sd_watchdog_enabled(0, &microseconds) <= 0) return std::nullopt;
  return std::chrono::duration_cast<Span>(std::chrono::microseconds(microseconds / 2));
}

}  // namespace overwinter
