// The age of a tire by the date code on its sidewall: the last four digits of the tire identification number.
#pragma once

#include <chrono>
#include <string_view>

#include "rules/physics/outcome.h"
#include "rules/quantity/strong.h"

namespace overwinter {

// The Sunday on which the code's week begins. "3521" is week 35 of 2021: 29 August 2021.
// Source: 49 CFR 574.5 (64 FR 36807, 8 July 1999), week then year, since July 2000; week 01 is the first full calendar
// week, Sunday to Saturday. 01..53 and 00..99, years 2000..2099. A year without a 53rd such week takes a code 53 as the
// week after 52: its maker counts ISO weeks. Three digits are from before 2000, decade unknown: no value, the tire is
// over 25 years old. Uncertainty: the seven days of the week.
Outcome<std::chrono::sys_days> date_code_week(std::string_view code);

// Time from the beginning of that week to `today`. No value where the code lies ahead of today. An age in years divides
// by 365.2425 days.
Outcome<Seconds> date_code_age(std::string_view code, std::chrono::sys_days today);

}  // namespace overwinter
