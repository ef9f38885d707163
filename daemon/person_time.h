// Times as a person writes and reads them, in the site's local time.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "rules/engine/plan.h"

namespace overwinter {

// "2026-12-19T15:00:00Z"; "2026-12-19", the start of that day; "2026-12-19 15:30"; "15:30", the last time that the
// clock showed it. Local but for the first; nothing: none of these.
std::optional<Instant> parse_person_time(std::string_view text, const TimeZone& zone, Instant now);
// It is a time of day alone that is still to come today, so that yesterday's is meant: when that was.
std::optional<Instant> taken_for_yesterday(std::string_view text, const TimeZone& zone, Instant now);
// The same as the first of what is still to come: "15:30" is the next time that the clock shows it.
std::optional<Instant> parse_person_time_to_come(std::string_view text, const TimeZone& zone, Instant now);

// "90 s", "5min"; nothing: no duration above zero, or longer than a year.
std::optional<Span> parse_person_span(std::string_view text);

// "just now", "20 min ago" of the last two days, then "Sat Dec 19".
std::string when_text(const Plan& plan, Instant at, Instant now);
// "Sat Dec 19"; "Sat Dec 19 15:30" where it lies within a day of now: of a deadline of hours the day alone says little.
std::string date_near(const Plan& plan, Instant t, Instant now);

}  // namespace overwinter
