#include "daemon/person_time.h"

#include <charconv>

#include "rules/quantity/age.h"
#include "rules/quantity/print.h"
#include "rules/quantity/unit.h"

namespace overwinter {
namespace {

constexpr Span hours_are_told_for = 2 * one_day;

std::optional<int> two_digits(std::string_view text) {
  int value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (text.size() != 2 || error != std::errc() || end != text.data() + text.size() || value < 0) return std::nullopt;
  return value;
}

// "15:30"
std::optional<std::chrono::milliseconds> time_of_day(std::string_view text) {
  if (text.size() != 5 || text[2] != ':') return std::nullopt;
  const auto hour = two_digits(text.substr(0, 2)), minute = two_digits(text.substr(3));
  if (!hour || !minute || *hour > 23 || *minute > 59) return std::nullopt;
  return *hour * one_hour + *minute * one_minute;
}

}  // namespace

std::optional<Instant> parse_person_time(std::string_view text, const TimeZone& zone, Instant now) {
  if (const auto at = parse_rfc3339(text)) return at;
  if (const auto date = parse_date(text)) return from_local(*date, Span{}, zone);
  if (const auto time = time_of_day(text)) {
    const LocalTime today = to_local(now, zone);
    const Instant at = from_local(today.date, *time, zone);
    if (at <= now) return at;
    return from_local(std::chrono::sys_days(today.date) - std::chrono::days(1), *time, zone);
  }
  constexpr std::size_t date_characters = 10;
  if (text.size() <= date_characters || text[date_characters] != ' ') return std::nullopt;
  const auto date = parse_date(text.substr(0, date_characters));
  const auto time = time_of_day(text.substr(date_characters + 1));
  if (!date || !time) return std::nullopt;
  return from_local(*date, *time, zone);
}

std::optional<Instant> taken_for_yesterday(std::string_view text, const TimeZone& zone, Instant now) {
  if (!time_of_day(text)) return std::nullopt;
  const auto at = parse_person_time(text, zone, now);
  return local_day(*at, zone) == local_day(now, zone) ? std::nullopt : at;
}

std::optional<Instant> parse_person_time_to_come(std::string_view text, const TimeZone& zone, Instant now) {
  if (const auto time = time_of_day(text)) return next_local(now, *time, zone);
  return parse_person_time(text, zone, now);
}

std::optional<Span> parse_person_span(std::string_view text) {
  constexpr double longest = 366 * 86400.0;
  const Result<double> seconds = parse_value_of_type(text, Type::duration(), false, UnitContext::binding);
  if (!seconds || *seconds <= 0 || *seconds > longest) return std::nullopt;
  return span_from_seconds(*seconds);
}

std::string when_text(const Plan& plan, Instant at, Instant now) {
  if (at <= now && now - at < hours_are_told_for) return age_words(now - at);
  return print_date(at, plan.units, plan.zone, now);
}

std::string date_near(const Plan& plan, Instant t, Instant now) {
  const bool is_near = std::chrono::abs(t - now) < one_day;
  return (is_near ? print_date_and_time : print_date)(t, plan.units, plan.zone, now);
}

}  // namespace overwinter
