#include "rules/physics/tire_age.h"

#include <gtest/gtest.h>

#include <chrono>
#include <string_view>

#include <rapidcheck/gtest.h>

namespace overwinter {
namespace {

using std::chrono::sys_days;
using std::chrono::year;
using std::chrono::year_month_day;

sys_days date(int y, unsigned m, unsigned d) {
  return sys_days(year_month_day(year(y), std::chrono::month(m), std::chrono::day(d)));
}

struct TireAgeRow {
  std::string_view code;
  sys_days week, today;
  double years;
};

TEST(TireAge, CountsFromTheSundayOfTheCode) {
  // 49 CFR 574.5: week 01 is the first full calendar week, Sunday to Saturday. Independent recomputation.
  const TireAgeRow tire_age_rows[] = {
      {"0120", date(2020, 1, 5), date(2026, 11, 25), 6.89},   {"3521", date(2021, 8, 29), date(2026, 11, 25), 5.24},
      {"5219", date(2019, 12, 29), date(2026, 11, 25), 6.91}, {"1123", date(2023, 3, 12), date(2027, 3, 31), 4.05},
      {"2416", date(2016, 6, 12), date(2026, 11, 25), 10.45}, {"0700", date(2000, 2, 13), date(2026, 11, 25), 26.78},
  };
  for (const auto& row : tire_age_rows) {
    const auto its_week = date_code_week(row.code);
    const auto age = date_code_age(row.code, row.today);
    ASSERT_TRUE(its_week && age) << row.code;
    EXPECT_EQ(*its_week, row.week) << row.code;
    EXPECT_NEAR(age->value / (365.2425 * 86400), row.years, 0.005) << row.code;
  }
}

TEST(TireAge, TakesTheFirstDayOfTheYearWhenItIsASunday) {
  EXPECT_EQ(*date_code_week("0123"), date(2023, 1, 1));
  EXPECT_EQ(*date_code_week("5323"), date(2023, 12, 31));
}

TEST(TireAge, AcceptsAWeek53ThatTheYearHasNotGot) { EXPECT_EQ(*date_code_week("5315"), date(2016, 1, 3)); }

TEST(TireAge, SaysThatThreeDigitsAreTooOld) {
  const auto age = date_code_age("408", date(2026, 11, 25));
  ASSERT_FALSE(age);
  EXPECT_STREQ(age.error().reason,
               "a date code of three digits is from before 2000: the tire is over 25 years old, do not use it");
}

TEST(TireAge, HasNoValueForWhatIsNoDateCode) {
  for (const auto* code : {"", "1", "35", "35211", "35 1", "-521", "35.1", "0021", "5421", "9921", "DOT3"}) {
    EXPECT_FALSE(date_code_week(code)) << code;
  }
}

TEST(TireAge, HasNoValueAheadOfToday) {
  EXPECT_FALSE(date_code_age("3526", date(2026, 8, 1)));
  EXPECT_EQ(date_code_age("3521", date(2021, 8, 29))->value, 0);
}

RC_GTEST_PROP(TireAge, AlwaysBeginsOnASundayAndEachWeekSevenDaysLater, ()) {
  const int its_week = *rc::gen::inRange(1, 53);
  const int yy = *rc::gen::inRange(0, 100);
  const auto code = [&](int w) {
    const int n = w * 100 + yy;
    return std::string{static_cast<char>('0' + n / 1000), static_cast<char>('0' + n / 100 % 10),
                       static_cast<char>('0' + n / 10 % 10), static_cast<char>('0' + n % 10)};
  };
  const auto this_week = date_code_week(code(its_week));
  const auto next_week = date_code_week(code(its_week + 1));
  RC_ASSERT(this_week.has_value() && next_week.has_value());
  RC_ASSERT(std::chrono::weekday(*this_week) == std::chrono::Sunday);
  RC_ASSERT(*next_week - *this_week == std::chrono::days(7));
  RC_ASSERT(year_month_day(*this_week).year() == year(2000 + yy));
}

}  // namespace
}  // namespace overwinter
