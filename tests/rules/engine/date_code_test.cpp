// A rule of one's own that reads what the tire's sidewall says. 49 CFR 574.5: "2319" is week 23 of 2019, from Sunday
// 9 June, for week 01 is the first full one; 7.5 years of 365.2425 d are over on 9 December 2026.
#include <gtest/gtest.h>

#include <string>

#include "tests/rules/engine/lived.h"
#include "tests/rules/engine/story.h"

namespace overwinter {
namespace {

constexpr std::string_view tires = R"(
places: {outdoors: {temperature: {topic: yard, unit: degC}}}
gear:
  old: {kind: tire, place: outdoors, date_code: "2319", pressure: by_hand}
  newer: {kind: tire, place: outdoors, date_code: "0120", pressure: by_hand}
  untold: {kind: tire, place: outdoors, pressure: by_hand}
rules_from: [rules.yaml]
)";

constexpr std::string_view aged = R"(
rules:
  aged:
    applies_to: {kind: tire}
    raise_when: date_code_age(date_code, now) > 7.5 year and date_code != "0120"
    off_delay: 1 h
    message: "made in week and year {date_code}"
)";

TEST(DateCode, IsReadByARuleAndShownAsItWasWritten) {
  const Lived lived =
      live(plan_of(tires, aged), hourly("yard", "2026-11-20T00:00:00Z", 20 * 24, [](int) { return 0; }));
  EXPECT_EQ(told(lived, {EventKind::alarm_raised}), std::vector<std::string>{"2026-12-09T00:00:00Z alarm_raised aged"});
  for (const Event& e : lived.events) {
    if (e.kind != EventKind::alarm_raised) continue;
    EXPECT_EQ(e.message, "made in week and year 2319");
  }
}

}  // namespace
}  // namespace overwinter
