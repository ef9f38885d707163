#include "rules/quantity/time.h"

#include <optional>

#include "tests/test_headers.h"

namespace overwinter {
namespace {

using namespace std::chrono_literals;
using std::chrono::seconds;
using std::chrono::year_month_day;

Instant at(std::string_view text) {
  const std::optional<Instant> parsed = parse_rfc3339(text);
  EXPECT_TRUE(parsed) << text;
  return parsed.value_or(Instant{});
}

year_month_day day(std::string_view text) { return parse_date(text).value_or(year_month_day{}); }

// The rule of North America since 2007 (US Energy Policy Act of 2005; Manitoba's Official Time Act, from memory): from
// 02:00 on the second Sunday of March to 02:00 on the first Sunday of November.
TimeZone winnipeg() {
  return {"America/Winnipeg",
          {{at("2025-11-02T07:00:00Z"), -6h},
           {at("2026-03-08T08:00:00Z"), -5h},
           {at("2026-11-01T07:00:00Z"), -6h},
           {at("2027-03-14T08:00:00Z"), -5h}}};
}

// RFC 3339, 5.8 gives these examples, and says that the first two of 1996 are the same instant.
TEST(Rfc3339, ReadsTheExamplesOfTheStandard) {
  EXPECT_EQ(at("1985-04-12T23:20:50.52Z").time_since_epoch(), 482196050520ms);
  EXPECT_EQ(at("1996-12-19T16:39:57-08:00"), at("1996-12-20T00:39:57Z"));
  EXPECT_EQ(at("1990-12-31T23:59:60Z"), at("1991-01-01T00:00:00Z"));
  EXPECT_EQ(at("1990-12-31T15:59:60-08:00"), at("1991-01-01T00:00:00Z"));
}

TEST(Rfc3339, TakesLowerCaseAndUnknownOffsets) {
  EXPECT_EQ(at("2026-12-01t08:00:00z"), at("2026-12-01T08:00:00Z"));
  EXPECT_EQ(at("2026-12-01T08:00:00-00:00"), at("2026-12-01T08:00:00Z"));
}

TEST(Rfc3339, CutsFractionsToMilliseconds) {
  EXPECT_EQ(at("2026-12-01T08:00:00.9999999Z"), at("2026-12-01T08:00:00.999Z"));
  EXPECT_EQ(at("2026-12-01T08:00:00.5Z"), at("2026-12-01T08:00:00Z") + 500ms);
}

TEST(Rfc3339, RefusesWhatIsNoInstant) {
  for (const std::string_view text : {"",
                                      "2026-12-01",
                                      "2026-12-01T08:00Z",
                                      "2026-12-01T08:00:00",
                                      "2026-12-01 08:00:00Z",
                                      "2026-13-01T08:00:00Z",
                                      "2026-02-29T08:00:00Z",
                                      "2026-12-01T24:00:00Z",
                                      "2026-12-01T08:60:00Z",
                                      "2026-12-01T08:00:61Z",
                                      "2026-12-01T08:00:60Z",
                                      "2026-12-01T08:00:00.Z",
                                      "2026-12-01T08:00:00Zx",
                                      "2026-12-01T08:00:00+5",
                                      "2026-12-01T08:00:00+24:00",
                                      "2026-12-01T08:00:00+0500",
                                      "26-12-01T08:00:00Z",
                                      "+026-12-01T08:00:00Z",
                                      "1969-12-31T23:59:59Z",
                                      "1970-01-01T00:00:00+01:00",
                                      "2201-01-01T00:00:00Z",
                                      "2026-12-01T08:00:00Z "}) {
    EXPECT_FALSE(parse_rfc3339(text)) << text;
  }
}

TEST(Rfc3339, PrintsMillisecondsOnlyWhenThereAreAny) {
  EXPECT_EQ(format_rfc3339(at("2026-12-01T02:00:00-06:00")), "2026-12-01T08:00:00Z");
  EXPECT_EQ(format_rfc3339(at("2026-12-01T08:00:00.05Z")), "2026-12-01T08:00:00.050Z");
  EXPECT_EQ(format_rfc3339(Instant(-1ms)), "1969-12-31T23:59:59.999Z");
}

RC_GTEST_PROP(Rfc3339, ReadsBackWhatItPrinted, ()) {
  const Instant t(Span(*rc::gen::inRange<std::int64_t>(0, 7'289'654'400'000)));  // to the end of 2200
  RC_ASSERT(parse_rfc3339(format_rfc3339(t)) == t);
}

RC_GTEST_PROP(Rfc3339, NeverFailsOnAnyText, (const std::string& text)) { (void)parse_rfc3339(text); }

RC_GTEST_PROP(Seconds, AreExactForMilliseconds, ()) {
  const Instant t(Span(*rc::gen::inRange<std::int64_t>(0, 7'289'654'400'000)));
  RC_ASSERT(instant_from_seconds(to_seconds(t)) == t);
}

TEST(Date, IsYearMonthDayAndNothingElse) {
  EXPECT_EQ(parse_date("2026-10-31"), std::chrono::October / 31 / 2026);
  EXPECT_TRUE(parse_date("2028-02-29"));
  for (const std::string_view text : {"", "2026-02-29", "2026-10-31 ", "2026-1-1", "31-10-2026", "2026/10/31"}) {
    EXPECT_FALSE(parse_date(text)) << text;
  }
}

TEST(LocalTime, IsUtcWithoutChanges) {
  EXPECT_EQ(local_hour(at("2026-12-01T08:30:00Z"), TimeZone{}), 8);
  EXPECT_EQ(from_local(day("2026-12-01"), 8h, TimeZone{}), at("2026-12-01T08:00:00Z"));
}

TEST(LocalTime, FollowsTheOffsetOfTheSeason) {
  const LocalTime winter = to_local(at("2026-12-01T03:00:00Z"), winnipeg());
  EXPECT_EQ(winter.date, day("2026-11-30"));
  EXPECT_EQ(winter.since_midnight, 21h);
  EXPECT_EQ(local_hour(at("2026-12-01T03:59:59Z"), winnipeg()), 21);
  EXPECT_EQ(local_hour(at("2026-07-01T03:00:00Z"), winnipeg()), 22);
  EXPECT_EQ(winnipeg().offset_at(at("2020-01-01T00:00:00Z")), seconds(-6h));
  EXPECT_EQ(local_day(at("2026-12-01T05:59:59Z"), winnipeg()) + 1, local_day(at("2026-12-01T06:00:00Z"), winnipeg()));
}

// A change holds from its instant on, in zones that change seldom, often, or no more.
TEST(LocalTime, HasTheOffsetOfTheLastChange) {
  TimeZone zone;
  zone.changes = {{at("2000-01-01T00:00:00Z"), 1h}};
  for (const int year : {2003, 2004, 2011, 2012, 2013, 2030}) {
    for (const int month : {2, 3, 6, 7, 11}) {
      const Instant from = std::chrono::sys_days(std::chrono::year(year) / month / 5);
      zone.changes.push_back({from, seconds(600 * (year + month))});
    }
  }
  EXPECT_EQ(zone.offset_at(at("1970-01-01T00:00:00Z")), 1h);
  for (std::size_t i = 1; i < zone.changes.size(); ++i) {
    EXPECT_EQ(zone.offset_at(zone.changes[i].from), zone.changes[i].offset) << i;
    EXPECT_EQ(zone.offset_at(zone.changes[i].from - Span(1)), zone.changes[i - 1].offset) << i;
  }
  EXPECT_EQ(zone.offset_at(at("2190-01-01T00:00:00Z")), zone.changes.back().offset);
}

TEST(LocalTime, TheHourThatIsSkippedBecomesTheInstantAfterTheGap) {
  EXPECT_EQ(from_local(day("2026-03-08"), 1h + 59min, winnipeg()), at("2026-03-08T07:59:00Z"));
  EXPECT_EQ(from_local(day("2026-03-08"), 2h, winnipeg()), at("2026-03-08T08:00:00Z"));
  EXPECT_EQ(from_local(day("2026-03-08"), 2h + 30min, winnipeg()), at("2026-03-08T08:00:00Z"));
  EXPECT_EQ(from_local(day("2026-03-08"), 3h, winnipeg()), at("2026-03-08T08:00:00Z"));
  EXPECT_EQ(from_local(day("2026-03-08"), 3h + 1min, winnipeg()), at("2026-03-08T08:01:00Z"));
}

TEST(LocalTime, TheHourThatComesTwiceIsTheFirst) {
  EXPECT_EQ(from_local(day("2026-11-01"), 1h + 30min, winnipeg()), at("2026-11-01T06:30:00Z"));
  EXPECT_EQ(from_local(day("2026-11-01"), 2h, winnipeg()), at("2026-11-01T08:00:00Z"));
}

TEST(NextLocal, ComesOnceADayAcrossBothChanges) {
  const TimeZone zone = winnipeg();
  EXPECT_EQ(next_local(at("2026-03-07T14:00:00Z"), 8h, zone), at("2026-03-08T13:00:00Z"));  // 23 hours on
  EXPECT_EQ(next_local(at("2026-10-31T13:00:00Z"), 8h, zone), at("2026-11-01T14:00:00Z"));  // 25 hours on
  EXPECT_EQ(next_local(at("2026-11-01T06:30:00Z"), 1h + 30min, zone), at("2026-11-02T07:30:00Z"));
  EXPECT_EQ(next_local(at("2026-03-08T07:00:00Z"), 2h + 30min, zone), at("2026-03-08T08:00:00Z"));
  EXPECT_EQ(next_local(at("2026-03-08T08:00:00Z"), 2h + 30min, zone), at("2026-03-09T07:30:00Z"));
}

TEST(NextLocal, IsStrictlyAfter) {
  const Instant eight = from_local(day("2026-12-01"), 8h, winnipeg());
  EXPECT_EQ(next_local(eight, 8h, winnipeg()), eight + one_day);
  EXPECT_EQ(next_local(eight - 1ms, 8h, winnipeg()), eight);
}

// The civil calendar (ISO 8601): a year later is the same date, leap days or not; a day later the same hour, clocks
// changed or not.
TEST(LaterByCalendar, KeepsTheDateAndTheHour) {
  const TimeZone zone = winnipeg();
  const auto midnight = [&](std::string_view date) { return from_local(day(date), 0h, zone); };
  EXPECT_EQ(later_by_calendar(midnight("2019-12-20"), 7 * 12 * one_month, zone), midnight("2026-12-20"));
  EXPECT_EQ(later_by_calendar(midnight("2024-02-29"), 12 * one_month, zone), midnight("2025-02-28"));
  EXPECT_EQ(later_by_calendar(midnight("2026-08-31"), 6 * one_month, zone), midnight("2027-02-28"));
  EXPECT_EQ(later_by_calendar(midnight("2026-10-31"), 30 * one_day, zone), midnight("2026-11-30"));
  EXPECT_EQ(later_by_calendar(at("2026-10-31T15:20:00Z"), one_day, zone), at("2026-11-01T16:20:00Z"));
  EXPECT_EQ(later_by_calendar(at("2026-10-31T15:20:00Z"), 36h, zone), at("2026-11-02T03:20:00Z"));
}

TEST(LaterByCalendar, CountsFromTheEndOfTheAgesThatItKnows) {
  const TimeZone zone = winnipeg();
  const Instant first = std::chrono::sys_days(std::chrono::year(1900) / 1 / 1);
  const Instant last = std::chrono::sys_days(std::chrono::year(2400) / 1 / 1);
  for (const Span span : {one_hour, one_day, 12 * one_month, 1200 * one_month}) {
    EXPECT_EQ(later_by_calendar(Instant::min(), span, zone), later_by_calendar(first, span, zone));
    EXPECT_EQ(later_by_calendar(never, span, zone), later_by_calendar(last, span, zone));
    EXPECT_GT(later_by_calendar(never, span, zone), last);
  }
}

RC_GTEST_PROP(LocalTime, GoesThereAndBackExceptInTheRepeatedHour, ()) {
  const TimeZone zone = winnipeg();
  const Instant t = at("2025-10-01T00:00:00Z") + std::chrono::minutes(*rc::gen::inRange(0, 900'000));
  const LocalTime local = to_local(t, zone);
  const Instant back = from_local(local.date, local.since_midnight, zone);
  RC_ASSERT(back == t || back == t - one_hour);
  RC_ASSERT(to_local(back, zone).since_midnight == local.since_midnight);
}

}  // namespace
}  // namespace overwinter
