// Keeps the journal small: inputs older than the site's keep_raw leave once a snapshot holds them, their numbers as
// hourly values; those, and events, leave after keep_hourly.
#pragma once

#include "daemon/journal.h"
#include "rules/engine/plan.h"

namespace overwinter {

inline constexpr Span keep_raw_otherwise = 30 * one_day;
inline constexpr Span keep_hourly_otherwise = 5 * 365 * one_day;

Result<void> keep_small(Journal& journal, const Plan& plan, Instant now);

// The hourly values of the readings in these messages, by series and hour.
std::vector<HourlyValue> hourly_values(const Plan& plan, const std::vector<JournaledInput>& messages);

}  // namespace overwinter
