#include "rules/quantity/time.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "rules/quantity/digit.h"

namespace overwinter {
namespace {

using std::chrono::days;
using std::chrono::floor;
using std::chrono::hours;
using std::chrono::milliseconds;
using std::chrono::minutes;
using std::chrono::seconds;
using std::chrono::sys_days;
using std::chrono::year_month_day;

constexpr int first_year = 1970;
constexpr int last_year = 2200;

// Reads fixed-width fields from the front of a text; once a field is wrong, so is the rest.
class FieldReader {
 public:
  explicit FieldReader(std::string_view text) : rest_(text) {}

  bool ok() const { return ok_; }
  bool at_end() const { return rest_.empty(); }
  char next() const { return rest_.empty() ? '\0' : rest_.front(); }

  int number(std::size_t digits) {
    ok_ = ok_ && rest_.size() >= digits;
    if (!ok_) return 0;
    int value = 0;
    for (std::size_t i = 0; i < digits; ++i) {
      ok_ = ok_ && is_digit(rest_[i]);
      value = value * 10 + (rest_[i] - '0');
    }
    rest_.remove_prefix(digits);
    return value;
  }

  void one_of(char a, char b) {
    ok_ = ok_ && (next() == a || next() == b);
    if (ok_) rest_.remove_prefix(1);
  }
  void just(char c) { one_of(c, c); }

  // The digits after a decimal point, cut to milliseconds.
  milliseconds fraction() {
    int value = 0;
    int place = 100;
    ok_ = ok_ && is_digit(next());
    while (ok_ && is_digit(next())) {
      value += (rest_.front() - '0') * place;
      place /= 10;
      rest_.remove_prefix(1);
    }
    return milliseconds(value);
  }

 private:
  std::string_view rest_;
  bool ok_ = true;
};

std::optional<year_month_day> read_date(FieldReader& reader) {
  const int year = reader.number(4);
  reader.just('-');
  const int month = reader.number(2);
  reader.just('-');
  const int day = reader.number(2);
  if (!reader.ok()) return std::nullopt;
  const year_month_day date{std::chrono::year{year}, std::chrono::month{static_cast<unsigned>(month)},
                            std::chrono::day{static_cast<unsigned>(day)}};
  if (!date.ok() || year < first_year || year > last_year) return std::nullopt;
  return date;
}

// "Z", "+01:00"; how far the clock that was written is ahead of UTC.
std::optional<minutes> read_offset(FieldReader& reader) {
  if (reader.next() == 'Z' || reader.next() == 'z') {
    reader.one_of('Z', 'z');
    return minutes(0);
  }
  const int sign = reader.next() == '-' ? -1 : 1;
  reader.one_of('+', '-');
  const int hour = reader.number(2);
  reader.just(':');
  const int minute = reader.number(2);
  if (!reader.ok() || hour > 23 || minute > 59) return std::nullopt;
  return sign * (hours(hour) + minutes(minute));
}

// The change that holds at t; past the end when there is none.
std::vector<TimeZone::Change>::const_iterator change_at(Instant t, const TimeZone& zone) {
  const auto first = zone.changes.begin(), end = zone.changes.end();
  if (zone.changes.size() < 2) return first;
  // Most zones change twice a year: it stands about there, and the rest is a few steps.
  const auto half_years = [](Instant instant) { return instant.time_since_epoch() / (6 * one_month); };
  const auto about = 1 + half_years(t) - half_years((first + 1)->from);
  auto at = first + std::clamp<std::ptrdiff_t>(about, 0, end - first - 1);
  while (at != first && t < at->from) --at;
  while (at + 1 != end && (at + 1)->from <= t) ++at;
  return at;
}

}  // namespace

Span span_from_seconds(double seconds_count) { return Span(std::llround(seconds_count * 1000.0)); }

Instant instant_from_seconds(double seconds_count) { return Instant(span_from_seconds(seconds_count)); }

std::optional<Instant> parse_rfc3339(std::string_view text) {
  FieldReader reader(text);
  const std::optional<year_month_day> date = read_date(reader);
  if (!date) return std::nullopt;
  reader.one_of('T', 't');
  const int hour = reader.number(2);
  reader.just(':');
  const int minute = reader.number(2);
  reader.just(':');
  const int second = reader.number(2);
  if (!reader.ok() || hour > 23 || minute > 59 || second > 60) return std::nullopt;
  milliseconds fraction{0};
  if (reader.next() == '.') {
    reader.just('.');
    fraction = reader.fraction();
  }
  const std::optional<minutes> offset = read_offset(reader);
  if (!reader.ok() || !offset || !reader.at_end()) return std::nullopt;

  const Instant minute_start = sys_days(*date) + hours(hour) + minutes(minute) - *offset;
  // A leap second stands only at the end of a day of UTC (RFC 3339, 5.7); here it is the second after it.
  if (second == 60 && minute_start + one_minute != floor<days>(minute_start) + days(1)) return std::nullopt;
  const Instant t = minute_start + seconds(second) + fraction;
  if (t < Instant{} || t >= sys_days(std::chrono::year{last_year + 1} / 1 / 1)) return std::nullopt;
  return t;
}

std::string format_rfc3339(Instant t) {
  const sys_days day = floor<days>(t);
  const year_month_day date(day);
  const std::chrono::hh_mm_ss time(t - day);
  std::string text = fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}", static_cast<int>(date.year()),
                                 static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()),
                                 time.hours().count(), time.minutes().count(), time.seconds().count());
  if (time.subseconds().count() != 0) text += fmt::format(".{:03}", time.subseconds().count());
  return text + "Z";
}

std::optional<year_month_day> parse_date(std::string_view text) {
  FieldReader reader(text);
  const std::optional<year_month_day> date = read_date(reader);
  return reader.at_end() ? date : std::nullopt;
}

seconds TimeZone::offset_at(Instant t) const { return changes.empty() ? seconds(0) : change_at(t, *this)->offset; }

LocalTime to_local(Instant t, const TimeZone& zone) {
  const Instant shown = t + zone.offset_at(t);  // the local clock, read as if it were UTC
  const sys_days day = floor<days>(shown);
  return {year_month_day(day), shown - day};
}

Instant from_local(year_month_day date, milliseconds since_midnight, const TimeZone& zone) {
  const Instant shown = sys_days(date) + since_midnight;
  if (zone.changes.empty()) return shown;
  // No zone is a day and a half from UTC, so the offsets that matter begin there.
  for (auto change = change_at(shown - 36 * one_hour, zone); change != zone.changes.end(); ++change) {
    const Instant t = shown - change->offset;
    const bool first = change == zone.changes.begin();
    if (!first && t < change->from) return change->from;  // the clocks jumped over this time
    if (change + 1 == zone.changes.end() || t < (change + 1)->from) return t;
  }
  return shown;  // not reached: the last change has no end
}

Instant next_local(Instant t, milliseconds since_midnight, const TimeZone& zone) {
  sys_days day(to_local(t, zone).date);
  Instant next = from_local(year_month_day(day), since_midnight, zone);
  while (next <= t) {
    day += days(1);
    next = from_local(year_month_day(day), since_midnight, zone);
  }
  return next;
}

Instant later_by_calendar(Instant from, Span span, const TimeZone& zone) {
  constexpr Instant first = sys_days(std::chrono::year(1900) / 1 / 1), last = sys_days(std::chrono::year(2400) / 1 / 1);
  from = std::clamp(from, first, last);
  const LocalTime local = to_local(from, zone);
  std::chrono::year_month_day date = local.date;
  if (span % one_month == Span{}) {
    date += std::chrono::months(span / one_month);
    if (!date.ok()) date = date.year() / date.month() / std::chrono::last;
  } else if (span % one_day == Span{}) {
    date = std::chrono::sys_days(date) + std::chrono::days(span / one_day);
  } else {
    return from + span;
  }
  return from_local(date, local.since_midnight, zone);
}

int local_hour(Instant t, const TimeZone& zone) {
  const Instant shown = t + zone.offset_at(t);
  return static_cast<int>((shown - floor<days>(shown)) / one_hour);
}

std::int32_t local_day(Instant t, const TimeZone& zone) {
  return static_cast<std::int32_t>(floor<days>(t + zone.offset_at(t)).time_since_epoch().count());
}

}  // namespace overwinter
