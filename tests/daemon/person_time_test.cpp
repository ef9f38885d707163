#include "daemon/person_time.h"

#include <gtest/gtest.h>

namespace overwinter {
namespace {

const Instant noon = *parse_rfc3339("2026-12-19T12:00:00Z");

TEST(PersonTime, TimesOfDayMeanTheLastOne) {
  const TimeZone utc;
  EXPECT_EQ(parse_person_time("11:59", utc, noon), parse_rfc3339("2026-12-19T11:59:00Z"));
  EXPECT_EQ(parse_person_time("12:00", utc, noon), noon);
  EXPECT_EQ(parse_person_time("12:01", utc, noon), parse_rfc3339("2026-12-18T12:01:00Z"));
}

TEST(PersonTime, TimesOfDayThatAreToComeMeanTheNextOne) {
  const TimeZone utc;
  EXPECT_EQ(parse_person_time_to_come("12:01", utc, noon), parse_rfc3339("2026-12-19T12:01:00Z"));
  EXPECT_EQ(parse_person_time_to_come("12:00", utc, noon), parse_rfc3339("2026-12-20T12:00:00Z"));
  EXPECT_EQ(parse_person_time_to_come("11:59", utc, noon), parse_rfc3339("2026-12-20T11:59:00Z"));
  EXPECT_EQ(parse_person_time_to_come("2026-12-19 11:00", utc, noon), parse_rfc3339("2026-12-19T11:00:00Z"));
  EXPECT_FALSE(parse_person_time_to_come("24:00", utc, noon));
}

TEST(PersonTime, WhatIsNoTimeIsNone) {
  for (const char* text : {"", "24:00", "12:60", "-1:30", "1:30", "2026-02-30", "2026-12-19 7:00", "2026-12-19T",
                           "2026-12-19  12:00", "12:00 ", "noon"}) {
    EXPECT_FALSE(parse_person_time(text, TimeZone{}, noon)) << text;
  }
}

TEST(PersonTime, SpansHaveAUnit) {
  EXPECT_EQ(parse_person_span("90s"), Span{90'000});
  EXPECT_EQ(parse_person_span("5 min"), 5 * one_minute);
  for (const char* text : {"", "5", "0 s", "-5 s", "5 V", "2 year", "forever"}) EXPECT_FALSE(parse_person_span(text));
}

}  // namespace
}  // namespace overwinter
