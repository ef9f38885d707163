// Alarms of gear that is taken out of service and put back, and of rules that hold in one season.
#include <gtest/gtest.h>

#include "tests/rules/engine/alarm_camper.h"
#include "tests/winter/replay_in_memory.h"

namespace overwinter {
namespace {

TEST(AlarmInService, EndsOutOfServiceAndComesWhenTheGearIsBack) {
  EXPECT_EQ(told(alarm_plan(), R"(
    12-01 00:00 camper -5
    12-01 00:10 camper -5
    12-01 01:00 do/take_out {"gear":"camper","why":"painting"}
    12-01 02:00 camper -5
    12-01 02:10 camper -5
    12-01 03:00 do/put_back {"gear":"camper"}
    12-01 04:00 camper -5
  )",
                 all_of_its_life),
            lines_of(R"(
    12-01 00:10:00 alarm_raised camper_cold camper
    12-01 01:00:00 gear_taken_out camper
    12-01 01:00:00 alarm_cleared camper_cold camper: out_of_service
    12-01 03:00:00 gear_put_back camper
    12-01 03:00:00 alarm_raised camper_cold camper
  )"));
}

// The camper is back in service on the strength of one packet: the next one decides.
TEST(AlarmInService, DoesNotBeginWithTheReturnToServiceOnOnePacket) {
  EXPECT_EQ(told(alarm_plan(), R"(
    12-01 01:00 do/take_out {"gear":"camper","why":"painting"}
    12-01 02:00 camper -5
    12-01 03:00 do/put_back {"gear":"camper"}
    12-01 04:00 camper -5
  )",
                 all_of_its_life),
            lines_of(R"(
    12-01 01:00:00 gear_taken_out camper
    12-01 03:00:00 gear_put_back camper
    12-01 04:00:00 alarm_raised camper_cold camper
  )"));
}

TEST(AlarmInService, WaitsForTheSecondPacketOverATimeOutOfService) {
  EXPECT_EQ(told(alarm_plan(), R"(
    12-01 00:00 camper -5
    12-01 01:00 do/take_out {"gear":"camper","why":"painting"}
    12-01 01:10 do/put_back {"gear":"camper"}
    12-01 02:00 camper 5
    12-01 03:00 camper -5
    12-01 03:10 do/take_out {"gear":"camper","why":"painting"}
    12-01 03:20 do/put_back {"gear":"camper"}
    12-01 04:00 camper -5
  )",
                 all_of_its_life),
            lines_of(R"(
    12-01 01:00:00 gear_taken_out camper
    12-01 01:10:00 gear_put_back camper
    12-01 03:10:00 gear_taken_out camper
    12-01 03:20:00 gear_put_back camper
    12-01 04:00:00 alarm_raised camper_cold camper
  )"));
}

// As everywhere: what is unknown for more than a day is over.
TEST(AlarmInService, BeginsAnewWhenNothingWasKnownForADayOutOfService) {
  EXPECT_EQ(told(alarm_plan("on_delay: 1 h"), R"(
    12-01 00:00 do/take_out {"gear":"camper","why":"painting"}
    12-01 00:10 camper -5
    12-01 00:20 camper -5
    12-02 12:00 do/put_back {"gear":"camper"}
    12-02 13:00 camper -5
    12-02 15:00 camper -5
  )",
                 {"camper_cold"}),
            "12-02 15:00:00 alarm_raised camper_cold camper\n");
}

TEST(AlarmInService, CountsItsDelayFromTheReturnToService) {
  EXPECT_EQ(told(alarm_plan("on_delay: 30 min"), R"(
    12-01 01:00 do/take_out {"gear":"camper","why":"painting"}
    12-01 02:00 camper -5
    12-01 02:10 camper -5
    12-01 03:00 do/put_back {"gear":"camper"}
    12-01 04:00 camper -5
  )",
                 all_of_its_life),
            lines_of(R"(
    12-01 01:00:00 gear_taken_out camper
    12-01 03:00:00 gear_put_back camper
    12-01 03:30:00 alarm_raised camper_cold camper
  )"));
}

// Two readings that agree have confirmed it, and so have three: where a history has a part in the condition, too.
TEST(AlarmInService, IsToldAfterItsDelayHoweverManyReadingsConfirmedItBefore) {
  constexpr std::string_view rule = R"(
rules:
  camper_cold: {applies_to: {place: camper}, raise_when: "mean(temperature, 10 min) < 0 degC", on_delay: 30 min, priority: low, message: Cold}
)";
  std::string readings;
  for (const char* reading : {"02:00", "02:10", "02:20", "02:30", "02:40"}) {
    readings += std::string("    12-01 ") + reading + " camper -5\n";
    if (readings.find('\n') + 1 == readings.size()) continue;  // one alone confirms nothing
    const std::string capture = "\n    12-01 01:00 do/take_out {\"gear\":\"camper\"}\n" + readings +
                                "    12-01 03:00 do/put_back {\"gear\":\"camper\"}\n    12-01 05:00 camper -5\n";
    EXPECT_EQ(told(plan_of(alarm_camper, rule), capture, {"camper_cold"}),
              "12-01 03:30:00 alarm_raised camper_cold camper\n")
        << readings;
  }
}

// Before, nobody watched it.
TEST(AlarmInService, StandsSinceTheReturnToService) {
  const auto plan = alarm_plan("on_delay: 30 min");
  const std::string capture = capture_of(R"(
    12-01 01:00 do/take_out {"gear":"camper","why":"painting"}
    12-01 02:00 camper -5
    12-01 02:10 camper -5
    12-01 03:00 do/put_back {"gear":"camper"}
    12-01 04:00 camper -5
  )");
  std::vector<std::string> since;
  for (const Event& e : replay_in_memory(plan, inputs_of(plan, capture)).events) {
    if (e.kind == EventKind::alarm_raised && e.since) since.push_back(format_rfc3339(*e.since));
  }
  EXPECT_EQ(since, std::vector<std::string>{"2026-12-01T03:00:00Z"});
}

TEST(AlarmInService, DoesNotBeginWithTheSeasonOnOnePacket) {
  EXPECT_EQ(told(alarm_plan("season: laid_up"), R"(
    11-01 12:00 do/season {"lay_up":"2026-12-02"}
    12-02 05:30 camper -5
    12-02 06:30 camper -5
  )",
                 all_of_its_life),
            lines_of(R"(
    12-02 06:30:00 alarm_raised camper_cold camper
  )"));
}

TEST(AlarmInService, IsOfTheSeasonOnlyWhereTheRuleSaysSo) {
  EXPECT_EQ(told(alarm_plan("season: laid_up"), R"(
    12-01 00:00 camper -5
    12-01 00:10 camper -5
    12-02 12:00 camper -5
    12-02 13:00 camper -5
    12-02 14:00 do/season {"return_to_service":"2026-12-02"}
    12-02 15:00 camper -5
  )",
                 all_of_its_life),
            lines_of(R"(
    12-02 13:00:00 alarm_raised camper_cold camper
    12-02 14:00:00 alarm_cleared camper_cold camper: season
  )"));
}

}  // namespace
}  // namespace overwinter
