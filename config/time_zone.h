// The IANA time zone data base of the system, as plain data.
#pragma once

#include <string>
#include <vector>

#include "rules/quantity/time.h"
#include "rules/result.h"

namespace overwinter {

// Offsets from 2000 through 2100 of a zone, "America/Winnipeg". Faults: no such zone (with the nearest name), or no
// data base on this machine.
Result<TimeZone> load_time_zone(const std::string& name);

}  // namespace overwinter
