// Reminders: when they are due, told and overdue, and what counts as done. Local time is UTC-6, from 14 March UTC-5.
#include <gtest/gtest.h>

#include <fmt/format.h>

#include "tests/rules/engine/lived.h"

namespace overwinter {
namespace {

using ReminderLines = std::vector<std::string>;

std::string reminder_site(std::string_view lay_up) {
  return fmt::format(R"(
site: {{id: alder_bend, local_time: America/Winnipeg}}
season: {{lay_up: {}, return_to_service: 2027-04-20}}
places:
  outdoors: {{temperature: {{topic: yard, unit: degC}}, snow_depth: {{topic: snow, unit: cm}},
             rainfall: {{topic: rain, unit: mm}}}}
rules_from: [rules.yaml]
)",
                     lay_up);
}

ReminderLines reminded(std::string_view reminder, const std::vector<Mail>& mail,
                       std::string_view lay_up = "2026-10-31") {
  const auto plan = plan_with(reminder_site(lay_up), fmt::format("rules: {{}}\nreminders:\n  work: {}\n", reminder));
  return told(live(plan, mail), {EventKind::reminder_due, EventKind::reminder_overdue, EventKind::reminder_done,
                                 EventKind::reminder_skipped});
}

std::vector<Mail> days(int n, double celsius = -5, std::string_view from = "2026-10-31T05:00:00Z") {
  return hourly("yard", from, 24 * n, [=](int) { return celsius; });
}

TEST(Reminder, IsDueAtEightLocalThatLongAfterLayUp) {
  EXPECT_EQ(reminded("{every: 14 d, message: m}", days(20)),
            (ReminderLines{"2026-11-14T14:00:00Z reminder_due work", "2026-11-17T09:12:00Z reminder_overdue work"}));
  EXPECT_EQ(reminded("{every: 30 d, first: 3 d, message: m}", days(8)),
            (ReminderLines{"2026-11-03T14:00:00Z reminder_due work"}));
  EXPECT_EQ(reminded("{every: 30 d, first: 0 d, message: m}", days(3)),
            (ReminderLines{"2026-10-31T13:00:00Z reminder_due work"}));
  EXPECT_EQ(reminded("{every: 30 d, first: 0 months, message: m}", days(3)),
            (ReminderLines{"2026-10-31T13:00:00Z reminder_due work"}));
  EXPECT_EQ(reminded("{every: 1 month, message: m}", days(33)),
            (ReminderLines{"2026-11-30T14:00:00Z reminder_due work"}));
  EXPECT_EQ(reminded("{date: 2026-11-15, message: m}", days(20)),
            (ReminderLines{"2026-11-15T14:00:00Z reminder_due work"}));
  EXPECT_EQ(reminded("{date: lay_up, message: m}", days(5)), (ReminderLines{"2026-10-31T13:00:00Z reminder_due work"}));
}

// What its message looks back over is followed all the time, and not only when it is told.
TEST(Reminder, TellsOfTheDaysBeforeIt) {
  const auto plan =
      plan_with(reminder_site("2026-10-31"),
                "rules: {}\nreminders:\n  work: {every: 3 d, message: \"{lowest(outdoors.temperature, 2 d)}\"}\n");
  std::vector<std::string> messages;
  for (const Event& event :
       live(plan, hourly("yard", "2026-10-31T05:00:00Z", 24 * 4, [](int i) { return i == 60 ? -20 : -5; })).events) {
    if (event.kind == EventKind::reminder_due) messages.push_back(event.message);
  }
  EXPECT_EQ(messages, std::vector<std::string>{"-20.0 °C"});
}

// Whoever records that a tire was moved need not say that the work is done, where the site says which tire tells it.
TEST(Reminder, ToMoveTheTiresIsDoneByTheActOfTheTireThatTheSiteNames) {
  const auto plan = plan_with(R"(
site: {id: alder_bend, local_time: America/Winnipeg}
season: {lay_up: 2026-10-31}
places: {outdoors: {temperature: {topic: yard, unit: degC}}}
gear:
  left: {kind: tire, place: outdoors, pressure: by_hand}
rules_from: [standard, rules.yaml]
)",
                              "reminders: {move_tires: {done_when: now - left.moved.date < 1 d}}\n");
  std::vector<Mail> mail = days(70, 0);
  mail.push_back(command("2027-01-02T17:00:00Z", "act", R"({"gear":"left","act":"moved"})"));
  std::vector<std::string> moved;
  for (const std::string& line : told(live(plan, mail), {EventKind::reminder_due, EventKind::reminder_done})) {
    if (line.find("move_tires") != std::string::npos) moved.push_back(line);
  }
  EXPECT_EQ(moved, (ReminderLines{"2026-12-31T14:00:00Z reminder_due move_tires",
                                  "2027-01-02T17:00:00Z reminder_done move_tires"}));
}

TEST(Reminder, IsOverdueAfterItsGrace) {
  EXPECT_EQ(reminded("{every: 10 d, message: m}", days(14)).back(), "2026-11-12T14:00:00Z reminder_overdue work");
  EXPECT_EQ(reminded("{every: 2 d, message: m}", days(14)).back(),
            "2026-11-03T14:00:00Z reminder_overdue work");  // 1 d
  EXPECT_EQ(reminded("{every: 10 d, grace: 3 d, message: m}", days(16)).back(),
            "2026-11-13T14:00:00Z reminder_overdue work");
  EXPECT_EQ(reminded("{date: 2026-11-03, message: m}", days(14)).back(), "2026-11-10T14:00:00Z reminder_overdue work");
}

TEST(Reminder, OfADateThatIsSkippedBeforeItIsLeftOut) {
  for (const char* command_name : {"skip", "done"}) {
    std::vector<Mail> mail = days(40);
    mail.push_back(command("2026-11-05T12:00:00Z", command_name, R"({"reminder":"work"})"));
    const ReminderLines lines = reminded("{date: 2026-11-15, message: m}", mail);
    ASSERT_EQ(lines.size(), 1U) << lines.back();
    EXPECT_TRUE(lines[0].starts_with("2026-11-05T12:00:00Z reminder_")) << lines[0];
  }
}

TEST(Reminder, KeepsEightLocalOverDaylightSaving) {
  EXPECT_EQ(reminded("{every: 7 d, message: m}", days(9, 5, "2027-03-10T07:00:00Z"), "2027-03-10"),
            (ReminderLines{"2027-03-17T13:00:00Z reminder_due work", "2027-03-18T22:36:00Z reminder_overdue work"}));
}

TEST(Reminder, CountsFromWhenItWasDone) {
  auto mail = days(30);
  mail.push_back(command("2026-11-15T20:00:00Z", "done", R"({"reminder":"work","at":"2026-11-14T20:00:00Z"})"));
  EXPECT_EQ(reminded("{every: 14 d, message: m}", mail),
            (ReminderLines{"2026-11-14T14:00:00Z reminder_due work", "2026-11-15T20:00:00Z reminder_done work",
                           "2026-11-28T14:00:00Z reminder_due work"}));
}

TEST(Reminder, SkippedComesBackAfterItsInterval) {
  auto mail = days(30);
  mail.push_back(command("2026-11-14T20:00:00Z", "skip", R"({"reminder":"work"})"));
  EXPECT_EQ(reminded("{every: 14 d, message: m}", mail),
            (ReminderLines{"2026-11-14T14:00:00Z reminder_due work", "2026-11-14T20:00:00Z reminder_skipped work",
                           "2026-11-28T14:00:00Z reminder_due work"}));
}

TEST(Reminder, TakesEvidenceWheneverItOccurs) {
  auto mail = days(17);
  const auto rain = hourly("rain", "2026-10-31T05:30:00Z", 24 * 17, [](int i) { return i == 100 ? 6 : 0; });
  EXPECT_EQ(reminded("{every: 10 d, done_when: outdoors.rainfall > 5 mm, message: m}", together({mail, rain})),
            (ReminderLines{"2026-11-04T09:30:00Z reminder_done work", "2026-11-14T14:00:00Z reminder_due work",
                           "2026-11-16T14:00:00Z reminder_overdue work"}));
}

TEST(Reminder, WaitsForAGoodHourOfTheDay) {
  // Due on 7 November. 10:00 UTC of the 8th is 04:00 local, 01:00 UTC of the 9th is 19:00: too dark, both.
  const auto weather = [](std::vector<int> good) {
    return hourly("yard", "2026-10-31T00:00:00Z", 24 * 12, [=](int i) {
      for (const int hour : good) {
        if (i == hour) return 5;
      }
      return -5;
    });
  };
  const std::string_view work = "{every: 7 d, good_day_when: outdoors.temperature > 0 degC, grace: 3 d, message: m}";
  constexpr int eighth = 8 * 24;
  EXPECT_EQ(reminded(work, weather({eighth + 10, eighth + 25, eighth + 40})).front(),
            "2026-11-09T16:00:00Z reminder_due work");
  EXPECT_EQ(reminded(work, weather({})),
            (ReminderLines{"2026-11-10T14:00:00Z reminder_due work", "2026-11-11T14:00:00Z reminder_overdue work"}));
  // True from the night on: told when the day begins.
  EXPECT_EQ(
      reminded(work, hourly("yard", "2026-10-31T00:00:00Z", 24 * 12, [](int i) { return i > 196 ? 5 : -5; })).front(),
      "2026-11-08T14:00:00Z reminder_due work");
}

TEST(Reminder, FollowsItsCondition) {
  const auto snow = hourly("snow", "2026-10-31T15:30:00Z", 24 * 14, [](int i) {
    return i < 48 ? 0 : i < 24 * 4 ? 20 : i < 24 * 6 ? 5 : 20;
  });
  EXPECT_EQ(reminded("{due_when: outdoors.snow_depth > 15 cm, done_when: outdoors.snow_depth < 8 cm, grace: 3 d, "
                     "message: m}",
                     together({days(15), snow})),
            (ReminderLines{"2026-11-02T15:30:00Z reminder_due work", "2026-11-04T15:30:00Z reminder_done work",
                           "2026-11-06T15:30:00Z reminder_due work", "2026-11-09T15:30:00Z reminder_overdue work"}));
}

TEST(Reminder, IsNotOverdueWhileItsConditionAsksNoMore) {
  // Snow asks on the first day, has settled on the third and asks again on the ninth; grace ends on the fourth.
  const auto snow = hourly("snow", "2026-10-31T15:30:00Z", 24 * 11, [](int i) {
    return i < 48 ? 20 : i < 24 * 8 ? 12 : 20;
  });
  EXPECT_EQ(reminded("{due_when: outdoors.snow_depth > 15 cm, done_when: outdoors.snow_depth < 8 cm, grace: 3 d, "
                     "message: m}",
                     together({days(12), snow})),
            (ReminderLines{"2026-10-31T15:30:00Z reminder_due work", "2026-11-08T15:30:00Z reminder_overdue work"}));
}

TEST(Reminder, IsNotOverdueWhileItsConditionIsUnknown) {
  // Snow asks, and the next day its sensor falls silent until the ninth day; grace ends on the fourth.
  const auto mail = together({days(12), hourly("snow", "2026-10-31T15:30:00Z", 24, [](int) { return 20; }),
                              hourly("snow", "2026-11-08T15:30:00Z", 24, [](int) { return 20; })});
  EXPECT_EQ(reminded("{due_when: outdoors.snow_depth > 15 cm, done_when: outdoors.snow_depth < 8 cm, grace: 3 d, "
                     "message: m}",
                     mail),
            (ReminderLines{"2026-10-31T15:30:00Z reminder_due work", "2026-11-08T15:30:00Z reminder_overdue work"}));
}

TEST(Reminder, IsNotDoneBeforeItsConditionAsked) {
  const auto snow = hourly("snow", "2026-10-31T15:30:00Z", 24, [](int) { return 2; });
  EXPECT_EQ(reminded("{due_when: outdoors.snow_depth > 15 cm, done_when: outdoors.snow_depth < 8 cm, message: m}",
                     together({days(2), snow})),
            ReminderLines{});
}

TEST(Reminder, SkippedByPersonWaitsForItsConditionToEnd) {
  auto mail = together({days(9), hourly("snow", "2026-10-31T15:30:00Z", 24 * 8, [](int i) {
                          return i < 24 * 3 ? 20 : i < 24 * 5 ? 5 : 20;
                        })});
  mail.push_back(command("2026-11-01T18:00:00Z", "skip", R"({"reminder":"work"})"));
  EXPECT_EQ(
      reminded("{due_when: outdoors.snow_depth > 15 cm, done_when: outdoors.snow_depth < 8 cm, message: m}", mail),
      (ReminderLines{"2026-10-31T15:30:00Z reminder_due work", "2026-11-01T18:00:00Z reminder_skipped work",
                     "2026-11-05T15:30:00Z reminder_due work"}));
}

// Asked for on the first day; its sensor is silent when it is done, on the second, and then tells `later` from the
// third.
ReminderLines done_while_unknown(std::string_view name, double before, double later) {
  auto mail = together({days(4), hourly("snow", "2026-10-31T15:30:00Z", 12, [=](int i) { return i < 6 ? 20 : before; }),
                        hourly("snow", "2026-11-02T15:30:00Z", 12, [=](int) { return later; })});
  mail.push_back(command("2026-11-01T18:00:00Z", name, R"({"reminder":"work"})"));
  return reminded("{due_when: outdoors.snow_depth > 15 cm, message: m}", mail);
}

// It never turned false: what is known again is no new work.
TEST(Reminder, DoneWhileItsConditionIsUnknownWaitsForItToEnd) {
  EXPECT_EQ(done_while_unknown("done", 20, 20),
            (ReminderLines{"2026-10-31T15:30:00Z reminder_due work", "2026-11-01T18:00:00Z reminder_done work"}));
  EXPECT_EQ(done_while_unknown("skip", 20, 20),
            (ReminderLines{"2026-10-31T15:30:00Z reminder_due work", "2026-11-01T18:00:00Z reminder_skipped work"}));
}

TEST(Reminder, DoneWhileItsConditionIsUnknownComesAgainWhereItHadEnded) {
  EXPECT_EQ(done_while_unknown("done", 5, 20),
            (ReminderLines{"2026-10-31T15:30:00Z reminder_due work", "2026-11-01T18:00:00Z reminder_done work",
                           "2026-11-02T15:30:00Z reminder_due work"}));
}

// Its interval ends with the fifth, at midnight; a person is told in the morning of that day.
TEST(Reminder, OfATestComesInTheMorningOfItsDay) {
  const auto plan = plan_with(R"(
site: {id: alder_bend, local_time: America/Winnipeg}
places: {outdoors: {temperature: {topic: yard, unit: degC}}}
gear: {detector: {kind: dated_item, place: outdoors, installed: {date: 2026-11-05}, test_every: 30 d}}
rules_from: [standard]
)");
  const Lived lived = live(plan, days(8, -5, "2026-12-01T06:00:00Z"));
  std::vector<std::string> tests;
  for (const Event& e : lived.events) {
    if (e.kind == EventKind::reminder_due && e.reminder == "test_item") tests.push_back(format_rfc3339(e.at));
  }
  EXPECT_EQ(tests, std::vector<std::string>{"2026-12-05T14:00:00Z"});
}

}  // namespace
}  // namespace overwinter
