// Instants and spans: milliseconds since 1970-01-01T00:00:00Z (leap seconds not counted), from <chrono>.
// Nothing here reads a clock; every instant is passed in.
#pragma once

#include <chrono>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace overwinter {

using Instant = std::chrono::sys_time<std::chrono::milliseconds>;
using Span = std::chrono::milliseconds;

inline constexpr Span one_minute{60'000};
inline constexpr Span one_hour{3'600'000};
inline constexpr Span one_day{86'400'000};
inline constexpr Span one_month{2'629'800'000};  // 30.4375 d; 12 are a year of 365.25 d

// Later than anything that happens; "no deadline".
inline constexpr Instant never = Instant::max();

// Conditions hold instants and durations as double seconds; both are exact for milliseconds in this age.
constexpr double to_seconds(Span s) { return static_cast<double>(s.count()) / 1000.0; }
constexpr double to_seconds(Instant t) { return to_seconds(t.time_since_epoch()); }
Span span_from_seconds(double seconds);  // rounded to the millisecond; seconds must be finite, |s| < 9e15
Instant instant_from_seconds(double seconds);

// RFC 3339. Parse: full date-time with Z or an offset, fraction optional, years 1970..2200.
// Print: Z; no fraction when it is whole seconds, else three digits.
std::optional<Instant> parse_rfc3339(std::string_view text);
std::string format_rfc3339(Instant t);

// "2026-10-31"
std::optional<std::chrono::year_month_day> parse_date(std::string_view text);

// A time zone as plain data: offsets east of UTC and the instants from which they hold, in order.
// The first entry holds from the beginning. config/ fills it from the IANA data base.
struct TimeZone {
  struct Change {
    Instant from;
    std::chrono::seconds offset;
  };
  std::string name = "UTC";
  std::vector<Change> changes;  // empty: UTC

  std::chrono::seconds offset_at(Instant t) const;
};

// A wall-clock reading in some zone.
struct LocalTime {
  std::chrono::year_month_day date;
  std::chrono::milliseconds since_midnight;
};

LocalTime to_local(Instant t, const TimeZone& zone);
// The first instant at which the zone's clocks show this; in a gap of spring, the instant after the gap.
Instant from_local(std::chrono::year_month_day date, std::chrono::milliseconds since_midnight, const TimeZone& zone);
// The next instant strictly after t at which the local clock shows since_midnight.
Instant next_local(Instant t, std::chrono::milliseconds since_midnight, const TimeZone& zone);
// `span` later as people count it: whole months (and so years) and whole days end at the same local time of day, a
// date that its month lacks on the month's last; another span is added as it is. From a time outside the years 1900 to
// 2400, as a damaged snapshot may hold, it counts from the nearer end of them; span: within 100 years.
Instant later_by_calendar(Instant from, Span span, const TimeZone& zone);
int local_hour(Instant t, const TimeZone& zone);  // 0..23, of the local clock
// The local date as a count of days since 1970-01-01.
std::int32_t local_day(Instant t, const TimeZone& zone);

}  // namespace overwinter
