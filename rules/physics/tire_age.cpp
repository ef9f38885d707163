#include "rules/physics/tire_age.h"

#include <algorithm>

namespace overwinter {
namespace {

int two_digits(std::string_view text) { return (text[0] - '0') * 10 + (text[1] - '0'); }

}  // namespace

Outcome<std::chrono::sys_days> date_code_week(std::string_view code) {
  using namespace std::chrono;
  const bool digits = std::all_of(code.begin(), code.end(), [](char c) { return c >= '0' && c <= '9'; });
  if (!digits || (code.size() != 3 && code.size() != 4)) {
    return no_value("a date code is the last four digits of the tire identification number, week and year, as 3521");
  }
  if (code.size() == 3) {
    return no_value("a date code of three digits is from before 2000: the tire is over 25 years old, do not use it");
  }
  const int week = two_digits(code.substr(0, 2));
  if (week < 1 || week > 53) return no_value("the week of a date code, its first two digits, is 01..53");
  const sys_days january_first = year(2000 + two_digits(code.substr(2, 2))) / January / 1;
  const days to_sunday = Sunday - weekday(january_first);
  return january_first + to_sunday + weeks(week - 1);
}

Outcome<Seconds> date_code_age(std::string_view code, std::chrono::sys_days today) {
  const auto made = date_code_week(code);
  if (!made) return tl::unexpected(made.error());
  if (*made > today) return no_value("the date code lies ahead of the date given: read it again");
  return Seconds(86400.0 * static_cast<double>((today - *made).count()));
}

}  // namespace overwinter
