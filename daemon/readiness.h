// What the service manager is told, by the sd_notify protocol. Outside of it these do nothing.
#pragma once

#include <optional>
#include <string>

#include "rules/quantity/time.h"

namespace overwinter {

void tell_ready(const std::string& status);
void tell_status(const std::string& status);
void tell_reloading();
void tell_stopping();
void tell_alive();
// Half of the watchdog's interval; nothing: there is no watchdog.
std::optional<Span> alive_interval();

}  // namespace overwinter
