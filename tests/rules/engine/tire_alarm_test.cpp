// What a sensor says of a tire, through the standard rules: a flat one high up, and a slow leak behind a noisy sensor.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <chrono>
#include <random>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "tests/rules/engine/lived.h"
#include "tests/rules/engine/story.h"

namespace overwinter {
namespace {

std::vector<std::string> raised(const Lived& lived, const std::set<std::string_view>& rules) {
  std::vector<std::string> names;
  for (const Event& event : lived.events) {
    if (event.kind == EventKind::alarm_raised && rules.contains(event.rule)) names.push_back(event.rule);
  }
  return names;
}

// more: of the sensor's binding.
auto tire_filled_to_65_psi(const std::string& zone, const std::string& more = {}) {
  return plan_with("site: {id: alder_bend, local_time: " + zone + R"(, display_units: us}
places: {outdoors: {temperature: {topic: yard, unit: degC}}}
gear:
  tire:
    kind: tire
    place: outdoors
    filled: {pressure: 65 psi, temperature: 10 degC, date: 2026-11-30}
    pressure: {topic: tire, unit: psi)" +
                   more + "}\nrules_from: [standard]\n");
}

// ISO 2533 at 2500 m: 74.68 kPa. A sensor that subtracts 101.325 kPa says -3.9 psi of a tire without air.
TEST(FlatTire, IsToldHighUpBySealedSensorsToo) {
  const auto site = plan_with(R"(
site: {id: alder_bend, local_time: America/Denver, altitude: 2500 m, display_units: us}
places: {outdoors: {temperature: {topic: yard, unit: degC}}}
gear:
  tire:
    kind: tire
    place: outdoors
    filled: {pressure: 80 psi, temperature: 10 degC, date: 2026-11-30}
    pressure: {topic: tire, unit: psi, reads: sealed}
rules_from: [standard]
)");
  const auto lived = live(
      site, together({hourly("yard", "2026-12-01T06:00:00Z", 24, [](int hour) { return 10 + 0.1 * (hour % 7); }),
                      hourly("tire", "2026-12-01T06:00:00Z", 24, [](int hour) { return hour < 12 ? 76.1 : -3.9; })}));
  EXPECT_EQ(raised(lived, {"tire_sudden_loss"}), std::vector<std::string>{"tire_sudden_loss"});
}

// Gauged once, and then it grows colder by 0.2 K an hour: at constant volume 52 psi at 15 degC are 48 psi near -2 degC.
// It rests on the thermometer alone, so no single reading of that raises it, nor does the gauge of days ago.
TEST(ExpectedNow, RaisesAnAlarmAsTheWeatherGoesBetweenTwoReadings) {
  const auto site = plan_with(R"(
site: {id: alder_bend, local_time: UTC}
places: {outdoors: {temperature: {topic: yard, unit: degC}}}
gear:
  tire: {kind: tire, place: outdoors, pressure: by_hand, filled: {pressure: 52 psi, temperature: 15 degC, date: 2026-12-01}}
rules_from: [rules.yaml]
)",
                              R"(
rules:
  cold: {applies_to: {kind: tire}, raise_when: pressure.expected_now < 48 psi, off_delay: 1 h, message: m}
reminders:
  pump: {applies_to: {kind: tire}, due_when: pressure.expected_now < 48 psi, message: m}
)");
  const auto lived =
      live(site, together({hourly("yard", "2026-12-01T00:00:00Z", 24 * 5, [](int hour) { return 15 - 0.2 * hour; }),
                           {command("2026-12-01T02:00:00Z", "record",
                                    R"({"gear":"tire","quantity":"pressure","value":"52 psi"})")}}));
  EXPECT_EQ(
      told(lived, {EventKind::alarm_raised, EventKind::reminder_due}),
      std::vector<std::string>({"2026-12-04T16:00:00Z reminder_due pump", "2026-12-04T17:00:00Z alarm_raised cold"}));
}

// 0.5 psi a week and a sensor good to 2 psi (k = 2, makers' sheets): for weeks one reading lies below the margin and
// the next above what clears it. It is one leak, and a high alarm wakes a person each time.
TEST(SlowLeak, CrossesItsMarginOnceBehindANoisySensor) {
  const auto site = tire_filled_to_65_psi("America/Winnipeg");
  std::mt19937 random(12);  // its numbers are the same everywhere; those of a distribution are not
  const auto noise = [&random] {
    double sum = 0;
    for (int i = 0; i < 12; ++i) sum += static_cast<double>(random()) / static_cast<double>(std::mt19937::max());
    return sum - 6;  // of one sigma 1, by the sum of twelve (textbook)
  };
  const int hours = 24 * 60;
  const auto lived = live(
      site, together({hourly("yard", "2026-12-01T06:00:00Z", hours, [](int hour) { return 10 + 0.1 * (hour % 7); }),
                      hourly("tire", "2026-12-01T06:00:00Z", hours,
                             [&noise](int hour) { return 65 - 0.5 * hour / (7 * 24) + noise(); })}));
  EXPECT_LE(raised(lived, {"tire_below_expected"}).size(), 2U);
  EXPECT_GE(raised(lived, {"tire_below_expected", "tire_leaking"}).size(), 1U);
}

// A sensor that keeps its readings and tells them on Sundays, the oldest first or the newest: its trend has every day,
// though all but the last hours come too late to tell the present. 1.5 psi a week is beyond any seepage.
TEST(SlowLeak, IsFoundInReadingsThatComeByTheWeek) {
  const auto site = tire_filled_to_65_psi("UTC", ", pointer: /p, time_pointer: /at");
  const Instant first = parse_rfc3339("2026-12-01T00:00:00Z").value();
  for (const bool newest_first : {false, true}) {
    std::vector<Mail> told;
    for (int hour = 0; hour < 24 * 35; ++hour) {
      const int week = hour / (24 * 7);
      const Instant sunday = first + (week + 1) * 7 * one_day;
      const bool is_newest = (hour + 1) % (24 * 7) == 0;
      const Instant arrives = sunday + (newest_first && !is_newest ? one_minute : Span{});
      const double psi = 65 - 1.5 * hour / (24 * 7) + 0.1 * (hour % 3);
      told.push_back({format_rfc3339(arrives), "tire",
                      fmt::format(R"({{"p":{:.1f},"at":"{}"}})", psi, format_rfc3339(first + hour * one_hour))});
    }
    const auto lived =
        live(site, together({hourly("yard", "2026-12-01T00:00:00Z", 24 * 36, [](int) { return 10; }), told}));
    EXPECT_EQ(raised(lived, {"tire_leaking"}).size(), 1U) << newest_first;
  }
}

// Sound tires of which one, or both by a lie of the radio, read 10 psi less for twelve days, most of it too late to
// tell the present, or the newest of six hours first. No trend takes what is uncertain, nor what was read since a
// sudden loss: when they read well again, nothing has leaked.
void expect_no_leak_of_late_readings_of_a_jump(const std::set<std::string_view>& fallen, bool newest_first) {
  const auto tire = [](std::string_view id) {
    return fmt::format(
        "  {0}: {{kind: tire, place: outdoors, filled: {{pressure: 52 psi, temperature: 10 degC, date: "
        "2026-11-30}}, pressure: {{topic: {0}, pointer: /p, time_pointer: /at, unit: psi}}}}\n",
        id);
  };
  const auto site = plan_with(
      "site: {id: alder_bend, local_time: UTC}\n"
      "places: {outdoors: {temperature: {topic: yard, unit: degC}}}\ngear:\n" +
      tire("left") + tire("right") + "rules_from: [standard]\n");
  const Instant first = parse_rfc3339("2026-12-01T00:00:00Z").value();
  std::vector<Mail> read;
  for (int hour = 0; hour < 24 * 45; ++hour) {
    const Instant at = first + hour * one_hour;
    const int to_newest = 5 - hour % 6;
    const Span late = newest_first ? to_newest * (one_hour + std::chrono::seconds(10)) : 7 * one_hour;
    for (const std::string_view id : {"left", "right"}) {
      const bool fell = hour >= 24 * 20 && hour < 24 * 32 && fallen.contains(id);
      const bool comes_late = fell && hour >= 24 * 20 + 6;
      const double psi = 52 + 0.1 * (hour % 3) - (fell ? 10 : 0);
      read.push_back({format_rfc3339(comes_late ? at + late : at), std::string(id),
                      fmt::format(R"({{"p":{:.1f},"at":"{}"}})", psi, format_rfc3339(at))});
    }
  }
  const auto lived =
      live(site, together({hourly("yard", "2026-12-01T00:00:00Z", 24 * 45, [](int) { return 10; }), read}));
  EXPECT_EQ(raised(lived, {"tire_leaking"}), std::vector<std::string>()) << fallen.size() << newest_first;
  const std::string_view jump = fallen.size() == 1 ? "tire_sudden_loss" : "sensors_jumped_together";
  EXPECT_EQ(raised(lived, {jump}).size(), 1U) << jump << newest_first;
}

TEST(SlowLeak, IsNotFoundInReadingsThatComeLateOfAJump) {
  for (const bool newest_first : {false, true}) {
    expect_no_leak_of_late_readings_of_a_jump({"left"}, newest_first);
    expect_no_leak_of_late_readings_of_a_jump({"left", "right"}, newest_first);
  }
}

// What a person gauges as the sensor reads it is no noise: it is over. A gauge that says otherwise ends nothing, nor
// does a reading from before it was over.
TEST(TireBelowExpected, EndsWithAGaugeThatAgreesWithItsSensor) {
  const auto site = tire_filled_to_65_psi("UTC");
  const auto ended = [&site](const std::string& gauged, const std::string& more = {}) {
    const auto lived = live(
        site, together({hourly("yard", "2026-12-01T00:00:00Z", 48, [](int) { return 10; }),
                        hourly("tire", "2026-12-01T00:00:00Z", 48, [](int hour) { return hour < 30 ? 58 : 65; }),
                        {command("2026-12-02T08:20:00Z", "record",
                                 R"({"gear":"tire","quantity":"pressure","value":")" + gauged + "\"" + more + "}")}}));
    for (const Event& e : lived.events) {
      if (e.kind == EventKind::alarm_cleared && e.rule == "tire_below_expected") return format_rfc3339(e.at);
    }
    return std::string();
  };
  EXPECT_EQ(ended("65 psi"), "2026-12-02T08:20:00Z");
  EXPECT_EQ(ended("58 psi"), "2026-12-02T12:00:00Z");
  EXPECT_EQ(ended("58 psi", R"(,"at":"2026-12-02T05:30:00Z")"), "2026-12-02T12:00:00Z");
}

// JCGM 100:2008, 6.2: within its expanded uncertainty a reading agrees with what is expected.
TEST(TireBelowExpected, IsNoneWithinWhatItsSensorIsStatedToBeUnsureOf) {
  const auto site = tire_filled_to_65_psi("America/Winnipeg", ", plus_minus: 6 psi");
  const auto reads = [&site](double psi) {
    return raised(live(site, together({hourly("yard", "2026-12-01T06:00:00Z", 24, [](int) { return 10; }),
                                       hourly("tire", "2026-12-01T06:00:00Z", 24, [psi](int) { return psi; })})),
                  {"tire_below_expected"});
  };
  EXPECT_TRUE(reads(60).empty());
  EXPECT_EQ(reads(58).size(), 1U);
}

// The yard says 10 degC and the site file took it for degF: the tire was filled at -12 degC, and as soon as the unit is
// put right it would want 57 psi. Another sensor in its place takes nothing back.
TEST(TireBelowExpected, KnowsNoFillByAThermometerOfAWrongUnit) {
  const auto raised = [](const std::string& topic, const std::string& unit, const std::string& told, int psi) {
    const auto site = [](const std::string& yard) {
      return plan_of("places: {outdoors: {temperature: {" + yard +
                     "}}}\ngear: {tire: {kind: tire, place: outdoors, pressure: {topic: tire, unit: psi}}}\n");
    };
    std::string story = "12-01 00:00 " + topic + " 10\n12-01 00:10 do/act {" + told +
                        R"("gear":"tire","act":"filled","pressure":"52 psi"})" + "\n12-01 00:20 tire 52\n---\n";
    for (const std::string hour : {"02", "04", "06", "08"}) {
      story += "12-01 " + hour + ":00 yard 10\n12-01 " + hour + ":10 tire " + std::to_string(psi) + "\n";
    }
    return told_over_reload(site("topic: " + topic + ", unit: " + unit), site("topic: yard, unit: degC"), story,
                            {"tire_below_expected"});
  };
  const std::string at_the_second_reading = "12-01 04:10:00 alarm_raised tire_below_expected tire\n";
  EXPECT_EQ(raised("yard", "degF", "", 52), "");
  EXPECT_EQ(raised("yard", "degF", R"("temperature":"10 degC",)", 45), at_the_second_reading) << "a person told it";
  EXPECT_EQ(raised("old_yard", "degC", "", 45), at_the_second_reading) << "another sensor";
}

}  // namespace
}  // namespace overwinter
