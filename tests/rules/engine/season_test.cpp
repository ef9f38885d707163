// Lay-up and return to service: what rests outside the season, and that only a person ends it.
#include <gtest/gtest.h>

#include <algorithm>

#include "tests/rules/engine/lived.h"

namespace overwinter {
namespace {

using SeasonLines = std::vector<std::string>;

constexpr std::string_view season_site = R"(
site: {id: alder_bend, local_time: America/Winnipeg}
season: {lay_up: 2026-11-05, return_to_service: 2027-04-20}
places: {outdoors: {temperature: {topic: yard, unit: degC}}}
rules_from: [rules.yaml]
)";

constexpr std::string_view season_rules = R"(
rules:
  in_season: {applies_to: {place: outdoors}, raise_when: temperature < 0 degC, off_delay: 1 h, season: laid_up, message: m}
  always: {applies_to: {place: outdoors}, raise_when: temperature < 0 degC, off_delay: 1 h, message: m}
reminders:
  lay_it_up: {date: lay_up, message: Lay it up.}
  look: {every: 20 d, season: laid_up, message: Look at it.}
)";

const std::vector<EventKind> alarms = {EventKind::alarm_raised, EventKind::alarm_cleared};
const std::vector<EventKind> asked = {EventKind::reminder_due, EventKind::reminder_done};

std::vector<Mail> frost(std::string_view from, int days) {
  return hourly("yard", from, 24 * days, [](int) { return -5; });
}

TEST(Season, BeginsAtTheLocalStartOfTheLayUpDay) {
  EXPECT_EQ(told(live(plan_with(season_site, season_rules), frost("2026-10-30T05:00:00Z", 10)), alarms),
            (SeasonLines{"2026-10-30T06:00:00Z alarm_raised always", "2026-11-05T06:00:00Z alarm_raised in_season"}));
}

TEST(Season, EndsNothingByItself) {
  const Lived lived = live(plan_with(season_site, season_rules), frost("2027-04-18T05:00:00Z", 10));
  EXPECT_EQ(told(lived, {EventKind::alarm_cleared}), SeasonLines{});
  const auto texts = digests(lived);
  ASSERT_EQ(texts.size(), 2U);
  EXPECT_EQ(texts[0].find("Is the camper back?"), std::string::npos) << texts[0];  // 18 April
  EXPECT_NE(texts[1].find("Is the camper back?"), std::string::npos) << texts[1];  // 25 April
}

TEST(Season, EndsWhenThePersonSaysThatTheCamperIsBack) {
  auto mail = frost("2027-04-18T05:00:00Z", 20);
  mail.push_back(command("2027-04-20T12:00:00Z", "season", R"({"return_to_service":"2027-04-22"})"));
  const Lived lived = live(plan_with(season_site, season_rules), mail);
  EXPECT_EQ(told(lived, {EventKind::alarm_cleared}), SeasonLines{"2027-04-22T05:00:00Z alarm_cleared in_season"});
  const auto cleared =
      std::ranges::find_if(lived.events, [](const Event& e) { return e.kind == EventKind::alarm_cleared; });
  EXPECT_EQ(cleared->reason, "season");
  EXPECT_EQ(digests(lived).back().find("Look at it."), std::string::npos) << "asked for out of season";
}

TEST(Season, BeginsAnewWithTheNextLayUp) {
  auto mail = frost("2026-11-04T06:00:00Z", 390);
  mail.push_back(command("2026-11-06T12:00:00Z", "done", R"({"reminder":"lay_it_up"})"));
  mail.push_back(command("2026-11-26T12:00:00Z", "done", R"({"reminder":"look"})"));
  mail.push_back(command("2026-12-01T12:00:00Z", "season", R"({"return_to_service":"2026-12-01"})"));
  mail.push_back(command("2027-10-31T12:00:00Z", "season", R"({"lay_up":"2027-10-31"})"));
  EXPECT_EQ(told(live(plan_with(season_site, season_rules), mail), asked),
            (SeasonLines{"2026-11-05T14:00:00Z reminder_due lay_it_up", "2026-11-06T12:00:00Z reminder_done lay_it_up",
                         "2026-11-25T14:00:00Z reminder_due look", "2026-11-26T12:00:00Z reminder_done look",
                         "2027-10-31T13:00:00Z reminder_due lay_it_up", "2027-11-20T14:00:00Z reminder_due look"}));
}

}  // namespace
}  // namespace overwinter
