// Keeps the journal small: inputs older than the site's keep_raw leave once a snapshot holds them, their numbers as
// hourly values; those, and events, leave after keep_hourly. Where there is no room for so many, readings leave
// earlier. All in portions: the loop that calls it has messages to take.
#pragma once

#include <optional>

#include "daemon/journal.h"
#include "rules/engine/plan.h"

namespace overwinter {

inline constexpr Span keep_raw_otherwise = 30 * one_day;
inline constexpr Span keep_hourly_otherwise = 5 * 365 * one_day;

// One portion of the inputs older than keep_raw. True: there may be more.
Result<bool> thin_by_age(Journal& journal, const Plan& plan, Instant now);

// Where the journal uses more than `most_bytes`: a portion of the commands that were refused, and where no more of
// these are left to look at, one of its oldest readings, whatever their age. Other commands, and so hand readings and
// acts, stay, and so do other events. The time of the newest reading that left; nothing: none.
Result<std::optional<Instant>> thin_by_size(Journal& journal, const Plan& plan, std::uint64_t most_bytes);

// Hourly values and events older than keep_hourly.
Result<void> forget_old(Journal& journal, const Plan& plan, Instant now);

// The hourly values of the readings in these messages, by series and hour.
std::vector<HourlyValue> hourly_values(const Plan& plan, const std::vector<JournaledInput>& messages);

}  // namespace overwinter
