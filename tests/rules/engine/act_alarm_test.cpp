// Work and alarms: what a reading from before it said ends with it, in the order in which people tell the two.
#include <gtest/gtest.h>

#include <fmt/format.h>

#include "tests/rules/engine/filled_tire.h"
#include "tests/rules/engine/lived.h"
#include "tests/rules/engine/story.h"

namespace overwinter {
namespace {

// People tell times to the minute: a tire is found soft, filled, and gauged, all at 15:30. What is told of one instant
// happened in the order in which it is told, whether it is told on the spot or later.
class SameInstant : public testing::TestWithParam<bool> {
 protected:
  // Of one visit at 08:05, told then or an hour after it.
  static Mail told_of_visit(std::string_view name, std::string_view gear_and_more) {
    return command(GetParam() ? "2026-11-03T08:05:00Z" : "2026-11-03T09:05:00Z", name,
                   fmt::format(R"({{{},"at":"2026-11-03T08:05:00Z"}})", gear_and_more));
  }
  static Mail gauged(std::string_view psi) {
    return told_of_visit("record", fmt::format(R"("gear":"left_tire","quantity":"pressure","value":"{} psi")", psi));
  }
  static Mail filled() {
    return told_of_visit("act", R"("gear":"left_tire","act":"filled","pressure":"48 psi","temperature":"23 degF")");
  }
  static Mail volts(std::string_view volts) {
    return told_of_visit("record", fmt::format(R"("gear":"battery","quantity":"voltage","value":"{} V")", volts));
  }
  static Mail charged() { return told_of_visit("act", R"("gear":"battery","act":"charged")"); }

  // The alarms of the visit and after it, and the same where the engine is stopped in between.
  static std::vector<std::string> alarms(const std::vector<Mail>& visit) {
    const auto plan = plan_with(R"(
site: {id: alder_bend, local_time: America/Winnipeg}
season: {lay_up: 2026-10-31}
places: {outdoors: {temperature: {topic: yard, unit: degC}}}
gear:
  left_tire: {kind: tire, place: outdoors, filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}, pressure: by_hand}
  battery: {kind: lead_acid_battery, place: outdoors, capacity: 85 Ah, voltage: by_hand}
rules_from: [standard]
)");
    const auto mail = together({yard(), visit});
    const std::vector<EventKind> kinds{EventKind::alarm_raised, EventKind::alarm_cleared};
    std::vector<std::string> lines = told(live(plan, mail), kinds);
    for (const std::string_view at : {"2026-11-03T08:30:00Z", "2026-11-03T09:30:00Z"}) {
      EXPECT_EQ(told(live_through_restart(plan, mail, at, plan), kinds), lines) << at;
    }
    for (std::string& line : lines) line.erase(0, line.find(' ') + 1);
    return lines;
  }
};

INSTANTIATE_TEST_SUITE_P(OnTheSpotAndLater, SameInstant, testing::Bool());

TEST_P(SameInstant, AReadingToldBeforeTheWorkIsFromBeforeIt) {
  EXPECT_EQ(alarms({gauged("30"), filled()}),
            (std::vector<std::string>{"alarm_raised tire_below_expected", "alarm_cleared tire_below_expected"}));
  EXPECT_EQ(alarms({volts("12.10"), charged()}),
            (std::vector<std::string>{"alarm_raised battery_recharge", "alarm_cleared battery_recharge"}));
}

TEST_P(SameInstant, AReadingToldAfterTheWorkIsOfItsResult) {
  EXPECT_EQ(alarms({filled(), gauged("30")}), (std::vector<std::string>{"alarm_raised tire_below_expected"}));
  EXPECT_EQ(alarms({charged(), volts("12.10")}), (std::vector<std::string>{"alarm_raised battery_recharge"}));
  EXPECT_EQ(alarms({gauged("30"), filled(), gauged("31")}),
            (std::vector<std::string>{"alarm_raised tire_below_expected", "alarm_cleared tire_below_expected",
                                      "alarm_raised tire_below_expected"}));
  EXPECT_EQ(alarms({volts("12.10"), charged(), volts("12.20")}),
            (std::vector<std::string>{"alarm_raised battery_recharge", "alarm_cleared battery_recharge",
                                      "alarm_raised battery_recharge"}));
}

TEST_P(SameInstant, WorkThatIsToldAnewCountsAsToldLast) {
  EXPECT_EQ(alarms({gauged("30"), filled(), gauged("31"), filled()}),
            (std::vector<std::string>{"alarm_raised tire_below_expected", "alarm_cleared tire_below_expected",
                                      "alarm_raised tire_below_expected", "alarm_cleared tire_below_expected"}));
}

std::vector<std::string> alarms_of(const Lived& lived) {
  return told(lived, {EventKind::alarm_raised, EventKind::alarm_unsuppressed, EventKind::alarm_cleared});
}

// What a reading from before the work should have been says nothing of the gear as it is now.
TEST(Act, OfFillingEndsWhatTheReadingBeforeSaid) {
  std::string site = tire_site(of_october);
  site.replace(site.find("[rules.yaml]"), 12, "[standard]");
  const Lived lived = live(
      plan_with(site),
      together({yard(),
                {gauged_by_hand("2026-11-03T12:00:00Z", "36 psi"),
                 command("2026-11-03T12:10:00Z", "act", R"({"gear":"left_tire","act":"filled","pressure":"46 psi"})"),
                 gauged_by_hand("2026-11-06T12:00:00Z", "46 psi")}}));
  EXPECT_EQ(alarms_of(lived), (std::vector<std::string>{"2026-11-03T12:00:00Z alarm_raised tire_below_expected",
                                                        "2026-11-03T12:10:00Z alarm_cleared tire_below_expected"}));
}

// The sensor saw the fill before anybody told it. What was suppressed is not told for the first time when it is over.
TEST(Act, EndsWhatTheSensorSawEndingBefore) {
  const auto plan = plan_of(R"(
places: {outdoors: {temperature: {topic: yard, unit: degC}}}
gear:
  left: {kind: tire, place: outdoors, pressure: {topic: left, unit: psi}}
  right: {kind: tire, place: outdoors, pressure: {topic: right, unit: psi}}
rules_from: [rules.yaml]
)",
                            R"(
rules:
  soft: {applies_to: {kind: tire}, raise_when: pressure < 42 psi, off_delay: 3 h, message: Soft.}
  softer: {applies_to: {kind: tire}, raise_when: pressure < 40 psi, off_delay: 2 h, suppressed_by: soft, message: Softer.}
)");
  EXPECT_EQ(told(plan, R"(
    12-01 00:00 left 38
    12-01 00:00 right 38
    12-01 01:00 left 38
    12-01 01:00 right 38
    12-01 02:00 left 52
    12-01 02:00 right 52
    12-01 03:00 do/act {"gear":"left","act":"filled","pressure":"52 psi","temperature":"23 degF"}
    12-01 06:00 yard 0
  )",
                 {"soft", "softer"}),
            lines_of(R"(
    12-01 01:00:00 alarm_raised soft left
    12-01 01:00:00 alarm_suppressed softer left
    12-01 01:00:00 alarm_raised soft right
    12-01 01:00:00 alarm_suppressed softer right
    12-01 03:00:00 alarm_cleared soft left
    12-01 03:00:00 alarm_unsuppressed softer left: cleared
    12-01 04:00:00 alarm_unsuppressed softer right: cleared
    12-01 05:00:00 alarm_cleared soft right
  )"));
}

TEST(Act, OfChargingRaisesNothingFromTheReadingBefore) {
  const Lived lived = live(
      plan_with(R"(
site: {id: alder_bend, local_time: America/Winnipeg}
season: {lay_up: 2026-10-31}
places: {garage: {temperature: {topic: garage, unit: degC}}}
gear:
  battery: {kind: lead_acid_battery, place: garage, capacity: 85 Ah, charged: {date: 2026-11-01}, voltage: by_hand}
rules_from: [standard]
)"),
      together(
          {hourly("garage", "2026-11-01T06:00:00Z", 24 * 50, [](int) { return 7; }),
           {command("2026-12-01T12:00:00Z", "record", R"({"gear":"battery","quantity":"voltage","value":"12.30 V"})"),
            command("2026-12-02T12:00:00Z", "act", R"({"gear":"battery","act":"charged"})")}}));
  EXPECT_EQ(alarms_of(lived), (std::vector<std::string>{"2026-12-01T12:00:00Z alarm_raised battery_recharge",
                                                        "2026-12-02T12:00:00Z alarm_cleared battery_recharge",
                                                        "2026-12-02T12:00:00Z alarm_unsuppressed battery_low"}));
}

constexpr std::string_view far_below = R"(
rules:
  off:
    applies_to: {kind: tire}
    raise_when: pressure.deviation < -3 psi
    message: Off.
)";

// Filled, then read by its sensor, then told: the reading is of the filled tire.
TEST(Act, ThatIsToldLaterCountsForTheReadingsSince) {
  const auto deviation_raises = [](std::string_view filled_at) {
    const Lived lived =
        live(plan_with(tire_site(of_october), far_below),
             together({yard(),
                       {gauged_by_hand("2026-11-03T12:00:00Z", "38 psi"),
                        command("2026-11-03T14:00:00Z", "act",
                                fmt::format(R"({{"gear":"left_tire","act":"filled","pressure":"38 psi","at":"{}"}})",
                                            filled_at))}}));
    return told(lived, {EventKind::alarm_raised, EventKind::alarm_cleared});
  };
  EXPECT_EQ(
      deviation_raises("2026-11-03T11:00:00Z"),
      (std::vector<std::string>{"2026-11-03T12:00:00Z alarm_raised off", "2026-11-03T14:00:00Z alarm_cleared off"}));
  EXPECT_EQ(deviation_raises("2026-11-03T13:00:00Z"),
            (std::vector<std::string>{"2026-11-03T12:00:00Z alarm_raised off"}));
}

// Looking at a valve changes nothing of what the tire should have read, also when the weather of then is forgotten.
TEST(Act, ThatChangesNothingLeavesWhatTheReadingShouldHaveBeen) {
  const Lived lived =
      live(plan_with(tire_site(of_october), std::string(far_below) + R"(
  unknown:
    applies_to: {kind: tire}
    raise_when: known(pressure) and not known(pressure.deviation)
    message: Unknown.
)"),
           together({hourly("yard", "2026-11-01T06:00:00Z", 24 * 60, [](int) { return -5; }),
                     {gauged_by_hand("2026-11-03T12:00:00Z", "38 psi"),
                      command("2026-12-20T12:00:00Z", "act", R"({"gear":"left_tire","act":"valve_checked"})")}}));
  EXPECT_EQ(told(lived, {EventKind::alarm_raised, EventKind::alarm_cleared}),
            (std::vector<std::string>{"2026-11-03T12:00:00Z alarm_raised off"}));
}

}  // namespace
}  // namespace overwinter
