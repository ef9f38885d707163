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

// A slip of the pen, 2026 for 2027, found after the reminder of that day was told, or done, or before it. Due at 08:00
// local: UTC-6, from 14 March UTC-5.
TEST(Season, WorkOfADateFollowsItWhereItWasASlip) {
  struct Case {
    const char* what;
    std::vector<Mail> told;
    SeasonLines asked;
  };
  const auto season = [](std::string_view at, std::string_view json) { return command(at, "season", json); };
  const auto done = [](std::string_view at) { return command(at, "done", R"({"reminder":"make_ready"})"); };
  const Mail slip = season("2026-11-26T18:00:00Z", R"({"return_to_service":"2026-11-27"})");
  const Mail laid_up = season("2026-11-28T18:00:00Z", R"({"lay_up":"2026-11-26"})");
  const Mail right = season("2026-11-28T19:00:00Z", R"({"return_to_service":"2027-04-20"})");
  const Mail put_off = season("2027-04-19T12:00:00Z", R"({"return_to_service":"2027-05-04"})");
  const std::string of_the_slip = "2026-11-27T14:00:00Z reminder_due make_ready";
  const std::string of_april = "2027-04-20T13:00:00Z reminder_due make_ready";
  const std::string at_once = "2026-11-27T18:00:00Z reminder_done make_ready";
  const std::string in_april = "2027-04-18T12:00:00Z reminder_done make_ready";
  const Case cases[] = {
      {"it stands", {slip, laid_up, right}, {of_the_slip, of_april}},
      {"only the return is told anew", {slip, right}, {of_the_slip, of_april}},
      {"the site file has the date", {slip, laid_up}, {of_the_slip, of_april}},
      {"it was done", {slip, done("2026-11-27T18:00:00Z"), right}, {of_the_slip, at_once, of_april}},
      {"it was done, and laid up again",
       {slip, done("2026-11-27T18:00:00Z"), laid_up, right},
       {of_the_slip, at_once, of_april}},
      {"done early", {slip, right, done("2027-04-18T12:00:00Z")}, {of_the_slip, in_april}},
      {"done early and put off by two weeks",
       {slip, right, done("2027-04-18T12:00:00Z"), put_off},
       {of_the_slip, in_april}},
      {"put off before its day", {right, put_off}, {"2027-05-04T13:00:00Z reminder_due make_ready"}},
  };
  const auto plan =
      plan_with(season_site, "reminders: {make_ready: {date: return_to_service, message: Make it ready.}}\n");
  for (const Case& c : cases) {
    const auto mail = together({frost("2026-11-05T06:00:00Z", 185), c.told});
    EXPECT_EQ(told(live(plan, mail), asked), c.asked) << c.what;
    for (const std::string_view cut : {"2026-11-27T20:00:00Z", "2026-11-28T18:30:00Z", "2027-04-19T00:00:00Z"}) {
      EXPECT_EQ(told(live_through_restart(plan, mail, cut, plan), asked), c.asked) << c.what << ", cut at " << cut;
    }
  }
}

}  // namespace
}  // namespace overwinter
