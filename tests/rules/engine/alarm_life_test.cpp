// The life of an alarm: acknowledged, cleared, raised again, shelved, suppressed.
#include <gtest/gtest.h>

#include <algorithm>

#include "tests/rules/engine/alarm_camper.h"
#include "tests/rules/engine/lived.h"
#include "tests/winter/replay_in_memory.h"

namespace overwinter {
namespace {

// Where it is colder still, another alarm stands for it.
std::shared_ptr<const Plan> suppressible(std::string_view more = {}) {
  return plan_of(alarm_camper, camper_cold("suppressed_by: colder" + std::string(more)) + R"(
  colder:
    applies_to: {place: camper}
    raise_when: temperature < -10 degC
    message: Colder.
)");
}

TEST(AlarmLife, IsAcknowledgedOnceAndEndsWhenItClears) {
  EXPECT_EQ(told(alarm_plan(), R"(
    12-01 00:00 camper -5
    12-01 00:10 camper -5
    12-01 00:20 do/acknowledge {"rule":"camper_cold","gear":"camper"}
    12-01 00:21 do/acknowledge {"rule":"camper_cold","gear":"camper"}
    12-01 01:00 camper 5
    12-01 01:01 do/acknowledge {"rule":"camper_cold","gear":"camper"}
    12-01 02:00 camper -5
    12-01 02:10 camper -5
  )",
                 all_of_its_life),
            lines_of(R"(
    12-01 00:10:00 alarm_raised camper_cold camper
    12-01 00:20:00 alarm_acknowledged camper_cold camper
    12-01 00:21:00 command_refused camper
    12-01 01:00:00 alarm_cleared camper_cold camper
    12-01 01:01:00 command_refused camper
    12-01 02:10:00 alarm_raised camper_cold camper
  )"));
}

// A number of the outdoors beside the name of the camper would be taken for the camper's.
TEST(AlarmLife, TellsTheReadingItRestsOnWhereThatIsOfItsOwnGear) {
  const auto plan = plan_with(R"(
site: {id: alder_bend, local_time: UTC}
places:
  outdoors: {temperature: {topic: yard, unit: degC}}
  camper: {temperature: {topic: camper, unit: degC}}
rules_from: [rules.yaml]
)",
                              R"(
rules:
  frost: {applies_to: {place: outdoors}, raise_when: temperature < -5 degC, message: m}
  frost_outside: {applies_to: {place: camper}, raise_when: outdoors.temperature < -5 degC, message: m}
)");
  std::vector<std::string> quantities;
  for (const Event& event : live(plan, hourly("yard", "2026-12-01T00:00:00Z", 2, [](int) { return -9; })).events) {
    if (event.kind == EventKind::alarm_raised) quantities.push_back(event.rule + ": " + event.quantity);
  }
  EXPECT_EQ(quantities, std::vector<std::string>({"frost: temperature", "frost_outside: "}));
}

// The ids of the alarms raised: in the story below, cleared unacknowledged at 01:00 on December 1.
std::vector<std::string> ids_raised(std::string_view more) {
  const std::string story = R"(
    12-01 00:00 camper -5
    12-01 00:10 camper -5
    12-01 01:00 camper 5
)" + std::string(more);
  const auto plan = alarm_plan();
  std::vector<std::string> ids;
  for (const Event& e : replay_in_memory(plan, inputs_of(plan, capture_of(story))).events) {
    if (e.kind == EventKind::alarm_raised) ids.push_back(e.id);
  }
  return ids;
}

TEST(AlarmLife, KeepsItsIdWhenRaisedAgainWithinSevenDays) {
  EXPECT_EQ(
      ids_raised("12-08 00:40 camper -5\n12-08 00:50 camper -5\n"),
      (std::vector<std::string>{"camper_cold/camper/2026-12-01T00:10:00Z", "camper_cold/camper/2026-12-01T00:10:00Z"}));
}

// What came and went on the shelf was told to nobody: the alarm that was seen before stays as it was seen.
TEST(AlarmLife, KeepsItsIdOverAnEpisodeThatNobodyHeardOf) {
  EXPECT_EQ(
      ids_raised(R"(12-02 00:00 do/shelve {"rule":"camper_cold","gear":"camper","for":"5 h"}
                          12-02 01:00 camper -5
                          12-02 01:10 camper -5
                          12-02 02:00 camper 5
                          12-03 00:00 camper -5
                          12-03 00:10 camper -5
)"),
      (std::vector<std::string>{"camper_cold/camper/2026-12-01T00:10:00Z", "camper_cold/camper/2026-12-01T00:10:00Z"}));
}

TEST(AlarmLife, IsAnotherWhenItWasAcknowledgedOnTheShelf) {
  EXPECT_EQ(
      ids_raised(R"(12-02 00:00 do/shelve {"rule":"camper_cold","gear":"camper","for":"5 h"}
                          12-02 01:00 camper -5
                          12-02 01:10 camper -5
                          12-02 01:20 do/acknowledge {"rule":"camper_cold","gear":"camper"}
                          12-02 02:00 camper 5
                          12-03 00:00 camper -5
                          12-03 00:10 camper -5
)"),
      (std::vector<std::string>{"camper_cold/camper/2026-12-01T00:10:00Z", "camper_cold/camper/2026-12-03T00:10:00Z"}));
}

// Who acknowledges it there has seen it: it is not told as new when the shelf ends.
TEST(AlarmLife, IsNotRaisedAnewWhenItWasAcknowledgedOnTheShelf) {
  EXPECT_EQ(told(plan_of(camper_with_hatch, camper_cold()), R"(
    12-02 00:00 do/shelve {"rule":"camper_cold","gear":"camper","for":"5 h"}
    12-02 01:00 camper -5
    12-02 01:10 camper -5
    12-02 01:20 do/acknowledge {"rule":"camper_cold","gear":"camper"}
    12-02 04:50 camper -5
    12-02 05:10 camper -5
    12-02 06:00 camper 5
  )",
                 {"camper_cold"}),
            lines_of(R"(
    12-02 00:00:00 alarm_shelved camper_cold camper
    12-02 01:20:00 alarm_acknowledged camper_cold camper
    12-02 05:00:00 alarm_unshelved camper_cold camper
    12-02 06:00:00 alarm_cleared camper_cold camper
  )"));
}

TEST(AlarmLife, IsAnotherAfterSevenDays) {
  EXPECT_EQ(
      ids_raised("12-08 02:00 camper -5\n12-08 02:10 camper -5\n"),
      (std::vector<std::string>{"camper_cold/camper/2026-12-01T00:10:00Z", "camper_cold/camper/2026-12-08T02:10:00Z"}));
}

TEST(AlarmLife, IsAnotherWhenTheClearedOneWasAcknowledged) {
  EXPECT_EQ(
      ids_raised(R"(12-01 01:10 do/acknowledge {"rule":"camper_cold","gear":"camper"}
                          12-02 02:00 camper -5
                          12-02 02:10 camper -5
)"),
      (std::vector<std::string>{"camper_cold/camper/2026-12-01T00:10:00Z", "camper_cold/camper/2026-12-02T02:10:00Z"}));
}

TEST(AlarmLife, ComesBackFromTheShelfByItself) {
  EXPECT_EQ(told(alarm_plan(), R"(
    12-01 00:00 do/shelve {"rule":"camper_cold","gear":"camper","for":"2 h","why":"airing"}
    12-01 00:00 camper -5
    12-01 00:10 camper -5
    12-01 03:00 yard 5
    12-01 04:00 camper 5
  )",
                 all_of_its_life),
            lines_of(R"(
    12-01 00:00:00 alarm_shelved camper_cold camper
    12-01 02:00:00 alarm_unshelved camper_cold camper
    12-01 02:00:00 alarm_raised camper_cold camper
    12-01 04:00:00 alarm_cleared camper_cold camper
  )"));
}

TEST(AlarmLife, IsNeverToldWhenItClearsOnTheShelf) {
  EXPECT_EQ(told(alarm_plan(), R"(
    12-01 00:00 do/shelve {"rule":"camper_cold","gear":"camper","until":"2026-12-01T02:00:00Z"}
    12-01 00:00 camper -5
    12-01 00:10 camper -5
    12-01 01:00 camper 5
    12-01 03:00 yard 5
  )",
                 all_of_its_life),
            lines_of(R"(
    12-01 00:00:00 alarm_shelved camper_cold camper
    12-01 02:00:00 alarm_unshelved camper_cold camper
  )"));
}

TEST(AlarmLife, IsTakenFromTheShelfOnce) {
  EXPECT_EQ(told(alarm_plan(), R"(
    12-01 00:00 do/shelve {"rule":"camper_cold","gear":"camper","for":"30 d"}
    12-01 00:00 camper -5
    12-01 00:10 camper -5
    12-01 01:00 do/unshelve {"rule":"camper_cold","gear":"camper"}
    12-01 02:00 do/unshelve {"rule":"camper_cold","gear":"camper"}
  )",
                 all_of_its_life),
            lines_of(R"(
    12-01 00:00:00 alarm_shelved camper_cold camper
    12-01 01:00:00 alarm_unshelved camper_cold camper
    12-01 01:00:00 alarm_raised camper_cold camper
    12-01 02:00:00 command_refused camper
  )"));
}

// A phone in a dead spot says "for an hour" when it was meant (MESSAGES, Commands: `at`), and it comes later.
TEST(AlarmLife, IsShelvedFromTheTimeThatTheCommandSays) {
  EXPECT_EQ(told(alarm_plan(), R"(
    12-01 02:00 do/shelve {"rule":"camper_cold","gear":"camper","for":"3 h","at":"2026-12-01T01:00:00Z"}
    12-01 05:00 do/shelve {"rule":"camper_cold","gear":"camper","for":"3 h","at":"2026-12-01T01:00:00Z"}
  )",
                 all_of_its_life),
            lines_of(R"(
    12-01 02:00:00 alarm_shelved camper_cold camper
    12-01 04:00:00 alarm_unshelved camper_cold camper
    12-01 05:00:00 command_refused camper
  )"));
}

TEST(AlarmLife, CriticalIsShelvedForADayAtMost) {
  EXPECT_EQ(told(alarm_plan("priority: critical"), R"(
    12-01 00:00 do/shelve {"rule":"camper_cold","gear":"camper","for":"25 h"}
    12-01 00:01 do/shelve {"rule":"camper_cold","gear":"camper","until":"2026-12-02T00:02:00Z"}
    12-01 00:02 do/shelve {"rule":"camper_cold","gear":"camper","for":"24 h"}
  )",
                 all_of_its_life),
            lines_of(R"(
    12-01 00:00:00 command_refused camper
    12-01 00:01:00 command_refused camper
    12-01 00:02:00 alarm_shelved camper_cold camper
  )"));
}

TEST(AlarmLife, IsShelvedForThirtyDaysAtMostAndByOneOfForAndUntil) {
  EXPECT_EQ(told(alarm_plan(), R"(
    12-01 00:00 do/shelve {"rule":"camper_cold","gear":"camper","for":"31 d"}
    12-01 00:01 do/shelve {"rule":"camper_cold","gear":"camper"}
    12-01 00:02 do/shelve {"rule":"camper_cold","gear":"camper","for":"1 h","until":"2026-12-01T02:00:00Z"}
    12-01 00:03 do/shelve {"rule":"camper_cold","gear":"camper","until":"2026-11-30T02:00:00Z"}
    12-01 00:04 do/shelve {"rule":"camper_cold","gear":"camper","for":"30 d"}
  )",
                 all_of_its_life),
            lines_of(R"(
    12-01 00:00:00 command_refused camper
    12-01 00:01:00 command_refused camper
    12-01 00:02:00 command_refused camper
    12-01 00:03:00 command_refused camper
    12-01 00:04:00 alarm_shelved camper_cold camper
  )"));
}

TEST(AlarmLife, IsSuppressedWhileItsCauseStands) {
  EXPECT_EQ(told(suppressible(),
                 R"(
    12-01 00:00 camper -15
    12-01 00:10 camper -15
    12-01 01:00 camper -5
  )",
                 all_of_its_life),
            lines_of(R"(
    12-01 00:10:00 alarm_suppressed camper_cold camper
    12-01 00:10:00 alarm_raised colder camper
    12-01 01:00:00 alarm_unsuppressed camper_cold camper
    12-01 01:00:00 alarm_raised camper_cold camper
    12-01 01:00:00 alarm_cleared colder camper
  )"));
}

// What is suppressed by what is suppressed itself is never told for an instant either, in whatever order the rules are
// defined.
TEST(AlarmLife, IsSuppressedByWhatIsSuppressedItself) {
  const auto site = plan_of(alarm_camper, R"(
rules:
  camper_cold: {applies_to: {place: camper}, raise_when: temperature < 0 degC, suppressed_by: frost, message: Cold.}
  frost: {applies_to: {place: camper}, raise_when: temperature < -5 degC, suppressed_by: colder, message: Frost.}
  colder: {applies_to: {place: camper}, raise_when: temperature < -10 degC, message: Colder.}
)");
  std::set<std::string_view> rules = all_of_its_life;
  rules.insert("frost");
  EXPECT_EQ(told(site, R"(
    12-01 00:00 camper -7
    12-01 00:10 camper -7
  )",
                 rules),
            lines_of(R"(
    12-01 00:10:00 alarm_suppressed camper_cold camper
    12-01 00:10:00 alarm_raised frost camper
  )"));
  EXPECT_EQ(told(site, R"(
    12-01 00:00 camper -15
    12-01 00:10 camper -15
  )",
                 rules),
            lines_of(R"(
    12-01 00:10:00 alarm_suppressed camper_cold camper
    12-01 00:10:00 alarm_suppressed frost camper
    12-01 00:10:00 alarm_raised colder camper
  )"));
}

// One warm reading ends both: what was suppressed is not raised for the instant in which it ends. Where its delay lets
// it stand longer, it stays suppressed until it ends.
TEST(AlarmLife, ThatWasSuppressedIsNotRaisedByWhatEndsIt) {
  const std::string both = lines_of(R"(
    12-01 01:00:00 alarm_unsuppressed camper_cold camper: cleared
    12-01 01:00:00 alarm_cleared colder camper
  )");
  const std::string one_by_one = lines_of(R"(
    12-01 01:00:00 alarm_cleared colder camper
    12-01 01:20:00 alarm_unsuppressed camper_cold camper: cleared
  )");
  for (const auto& [off_delay, ends] : {std::pair("", both), std::pair("\noff_delay: 20 min", one_by_one)}) {
    EXPECT_EQ(told(suppressible(off_delay),
                   R"(
    12-01 00:00 camper -15
    12-01 00:10 camper -15
    12-01 01:00 camper 5
    12-01 02:00 camper 5
    12-01 03:00 camper -5
    12-01 03:10 camper -5
  )",
                   all_of_its_life),
              lines_of(R"(
    12-01 00:10:00 alarm_suppressed camper_cold camper
    12-01 00:10:00 alarm_raised colder camper
    )") + ends + lines_of(R"(
    12-01 03:10:00 alarm_raised camper_cold camper
  )"));
  }
}

// A battery that lost too much stands behind the alarm that it wants charging; charged, both are over, and the first is
// not known to be before the battery has rested.
TEST(AlarmLife, ThatWasSuppressedIsNotRaisedWhileNobodyKnows) {
  const auto plan = plan_of(camper_with_hatch, camper_cold("suppressed_by: open_hatch\nrespond_within: 2 h") + R"(
  open_hatch: {applies_to: {place: camper}, raise_when: hatch.open, off_delay: 1 s, message: Open.}
)");
  const std::string begin = R"(
    12-01 00:00 hatch open
    12-01 00:10 camper -5
    12-01 00:20 camper -5
    12-01 08:00 hatch closed
    12-01 08:10 hatch closed
  )";
  const std::set<std::string_view> both{"camper_cold", "open_hatch"};
  const std::string begun = lines_of(R"(
    12-01 00:00:00 alarm_raised open_hatch camper
    12-01 00:20:00 alarm_suppressed camper_cold camper
    12-01 08:00:01 alarm_cleared open_hatch camper
  )");
  EXPECT_EQ(told(plan, begin + "12-01 09:00 camper 5\n12-01 09:10 camper 5\n", both), begun + lines_of(R"(
    12-01 09:00:00 alarm_unsuppressed camper_cold camper: cleared
  )"));
  const std::string again = "12-01 09:00 camper -5\n12-01 09:10 camper -5\n";
  EXPECT_EQ(told(plan, begin + again, both), begun + lines_of(R"(
    12-01 09:00:00 alarm_unsuppressed camper_cold camper
    12-01 09:00:00 alarm_raised camper_cold camper
  )"));
  for (const Event& e : replay_in_memory(plan, inputs_of(plan, capture_of(begin + again))).events) {
    if (e.kind != EventKind::alarm_raised || e.rule != "camper_cold") continue;
    ASSERT_TRUE(e.respond_by);
    EXPECT_EQ(format_rfc3339(*e.respond_by), "2026-12-01T11:00:00Z") << "from when it was told";
  }
}

TEST(AlarmLife, ComesFromTheShelfOnlyWhileItsConditionStands) {
  EXPECT_EQ(told(plan_of(alarm_camper, camper_cold("off_delay: 1 h")), R"(
    12-01 00:00 do/shelve {"rule":"camper_cold","gear":"camper","until":"2026-12-01T02:00:00Z"}
    12-01 00:10 camper -5
    12-01 00:20 camper -5
    12-01 01:30 camper 5
    12-01 02:20 camper 5
    12-01 03:00 camper 5
    12-01 04:00 do/shelve {"rule":"camper_cold","gear":"camper","until":"2026-12-01T06:00:00Z"}
    12-01 04:10 camper -5
    12-01 04:20 camper -5
    12-01 07:00 camper -5
  )",
                 all_of_its_life),
            lines_of(R"(
    12-01 00:00:00 alarm_shelved camper_cold camper
    12-01 02:00:00 alarm_unshelved camper_cold camper
    12-01 04:00:00 alarm_shelved camper_cold camper
    12-01 06:00:00 alarm_unshelved camper_cold camper
    12-01 06:00:00 alarm_raised camper_cold camper
  )"));
}

// With both out of service neither is told of.
TEST(AlarmLife, ThatWasSuppressedIsNotRaisedByTakingTheGearOut) {
  EXPECT_EQ(told(suppressible(),
                 R"(
    12-01 00:00 camper -15
    12-01 00:10 camper -15
    12-01 01:00 do/take_out {"gear":"camper"}
  )",
                 all_of_its_life),
            lines_of(R"(
    12-01 00:10:00 alarm_suppressed camper_cold camper
    12-01 00:10:00 alarm_raised colder camper
    12-01 01:00:00 gear_taken_out camper
    12-01 01:00:00 alarm_unsuppressed camper_cold camper: out_of_service
    12-01 01:00:00 alarm_cleared colder camper: out_of_service
  )"));
}

TEST(AlarmLife, StaysWhileBothConditionsHold) {
  EXPECT_EQ(told(plan_of(alarm_camper, R"(
rules:
  camper_cold: {applies_to: {place: camper}, raise_when: temperature < 0 degC, clear_when: temperature > -10 degC, message: Cold.}
)"),
                 R"(
    12-01 00:00 camper -5
    12-01 00:01 camper -5
    12-01 02:00 camper -4
    12-01 03:00 camper 1
  )",
                 all_of_its_life),
            lines_of(R"(
    12-01 00:01:00 alarm_raised camper_cold camper
    12-01 03:00:00 alarm_cleared camper_cold camper
  )"));
}

TEST(AlarmLife, OnTheShelfItHasTheIdOfWhatStandsAlone) {
  const auto shelve = [](std::string_view at) {
    return command(at, "shelve", R"({"rule":"camper_cold","gear":"camper","for":"10 min"})");
  };
  const Lived lived =
      live(plan_with("site: {id: alder_bend, local_time: UTC}\n" + std::string(alarm_camper), camper_cold()),
           {{"2026-12-01T00:00:00Z", "camper", "-5"},
            {"2026-12-01T00:10:00Z", "camper", "-5"},
            shelve("2026-12-01T01:00:00Z"),
            command("2026-12-01T02:00:00Z", "acknowledge", R"({"rule":"camper_cold","gear":"camper"})"),
            {"2026-12-01T03:00:00Z", "camper", "5"},
            shelve("2026-12-01T04:00:00Z"),
            {"2026-12-01T05:00:00Z", "camper", "5"}});
  std::vector<std::string> ids;
  for (const Event& e : lived.events) {
    if (e.kind != EventKind::alarm_shelved && e.kind != EventKind::alarm_unshelved) continue;
    ids.push_back(e.id);
    EXPECT_EQ(e.since.has_value(), !e.id.empty());
  }
  const std::string id = "camper_cold/camper/2026-12-01T00:10:00Z";
  EXPECT_EQ(ids, (std::vector<std::string>{id, id, "", ""}));
}

TEST(AlarmLife, FromTheShelfItIsToldInWordsOfNow) {
  const Lived lived =
      live(plan_with("site: {id: alder_bend, local_time: UTC}\n" + std::string(camper_with_hatch),
                     "rules:\n  cold: {applies_to: {place: camper}, raise_when: temperature < 0 degC, off_delay: 1 h, "
                     "message: \"{temperature}\"}\n"),
           {command("2026-12-01T00:00:00Z", "shelve", R"({"rule":"cold","gear":"camper","for":"3 h"})"),
            {"2026-12-01T00:00:00Z", "camper", "-5"},
            {"2026-12-01T00:10:00Z", "camper", "-5"},
            {"2026-12-01T02:00:00Z", "camper", "-9"},
            {"2026-12-01T04:00:00Z", "yard", "-9"}});
  const auto raised =
      std::ranges::find_if(lived.events, [](const Event& e) { return e.kind == EventKind::alarm_raised; });
  ASSERT_NE(raised, lived.events.end());
  EXPECT_EQ(raised->message, "-9.0 °C");
  EXPECT_EQ(raised->value, -9.0);
}

}  // namespace
}  // namespace overwinter
