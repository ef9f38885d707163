// A leak that only a stick gauge sees: three readings by hand over two weeks make a trend, fewer or sooner ones do not.
#include <gtest/gtest.h>

#include <set>
#include <string>
#include <string_view>

#include "tests/rules/engine/story.h"
#include "tests/winter/replay_in_memory.h"

namespace overwinter {
namespace {

// Filled to 52 psi at 61 degF; at -5 degC it should read 47.1 psi by the ideal gas law, less some seepage.
constexpr std::string_view gauged = R"(
season: {lay_up: 2026-10-31}
places:
  outdoors: {temperature: {topic: yard, unit: degC}}
gear:
  left: {kind: tire, place: outdoors, filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}, pressure: by_hand}
rules_from: [standard]
)";

// A walk around: the air, and the gauge half an hour later.
std::string gauge(std::string_view day, std::string_view psi) {
  const std::string d(day);
  return d + " 17:30 yard -5\n" + d + R"( 18:00 do/record {"gear":"left","quantity":"pressure","value":")" +
         std::string(psi) + " psi\"}\n";
}

std::string leaks(const std::string& story) { return told(plan_of(gauged), story, {"tire_leaking"}); }

TEST(HandTrend, OfThreeFallingReadingsOverTwoWeeksIsALeak) {
  EXPECT_EQ(leaks(gauge("11-05", "47") + gauge("11-12", "44.5") + gauge("11-20", "41.5")),
            "11-20 18:00:00 alarm_raised tire_leaking left\n");
}

TEST(HandTrend, TellsWhenItReachesItsMinimumWhereThatIsGiven) {
  const auto message = [](const std::string& site) {
    const auto plan = plan_of(site);
    const std::string story = gauge("11-05", "47") + gauge("11-12", "44.5") + gauge("11-20", "41.5");
    for (const Event& e : replay_in_memory(plan, inputs_of(plan, capture_of(story))).events) {
      if (e.kind == EventKind::alarm_raised && e.rule == "tire_leaking") return e.message;
    }
    return std::string();
  };
  EXPECT_TRUE(message(std::string(gauged)).ends_with(" beyond seepage.")) << message(std::string(gauged));
  const auto with_minimum = [&](std::string_view minimum) {
    std::string site(gauged);
    return message(site.insert(site.find(", pressure: by_hand"), ", minimum_pressure: " + std::string(minimum)));
  };
  const std::string soon = with_minimum("40 psi");
  EXPECT_NE(soon.find(" At this rate it is down to its minimum, 2.76 bar at 20.0 °C, about "), std::string::npos)
      << soon;
  const std::string below = with_minimum("50 psi");
  EXPECT_TRUE(below.ends_with(" It is at its minimum of 3.45 bar at 20.0 °C, or below.")) << below;
}

TEST(HandTrend, NeedsThreeReadings) { EXPECT_EQ(leaks(gauge("11-05", "47") + gauge("11-20", "41.5")), ""); }

TEST(HandTrend, NeedsTwoWeeks) {
  EXPECT_EQ(leaks(gauge("11-05", "47") + gauge("11-10", "44.5") + gauge("11-17", "41.5")), "");
}

TEST(HandTrend, NeedsEveryReadingToFall) {
  EXPECT_EQ(leaks(gauge("11-05", "44.5") + gauge("11-12", "47") + gauge("11-20", "44.5")), "");
}

TEST(HandTrend, OfASteadyTireIsNone) {
  EXPECT_EQ(leaks(gauge("11-05", "46.5") + gauge("11-20", "46.5") + gauge("12-05", "46") + gauge("12-20", "46")), "");
}

TEST(HandTrend, IsLessThanTheGaugeCanTell) {
  EXPECT_EQ(leaks(gauge("11-05", "47") + gauge("11-12", "46.5") + gauge("11-20", "46")), "");
}

// Full, full, and flat: nobody measured how fast. It is far below what it should read, and that is told.
TEST(HandTrend, OfOneStepIsNoLeak) {
  const auto plan = plan_of(gauged);
  const std::set<std::string_view> rules{"tire_leaking", "tire_below_expected"};
  const std::string below = "11-20 18:00:00 alarm_raised tire_below_expected left\n";
  EXPECT_EQ(told(plan, gauge("11-20", "5"), rules), below);
  EXPECT_EQ(told(plan, gauge("11-05", "47") + gauge("11-12", "46.8") + gauge("11-20", "5"), rules), below);
  EXPECT_EQ(told(plan,
                 gauge("11-01", "47.5") + gauge("11-05", "47.2") + gauge("11-09", "47") + gauge("11-12", "46.9") +
                     gauge("11-20", "5"),
                 rules),
            below);
}

// The rate is that of the fall, not of the steady weeks before it: 5.9 psi in two weeks at -5 degC are 0.22 bar a week
// at 20 degC, by the gas law.
TEST(HandTrend, TellsTheRateSinceItBeganToFall) {
  const auto plan = plan_of(gauged);
  const std::string leaks = gauge("11-01", "46.8") + gauge("11-04", "47") + gauge("11-08", "46.8") +
                            gauge("11-12", "46.8") + gauge("11-16", "46.9") + gauge("11-23", "44") +
                            gauge("11-30", "41");
  std::string message;
  for (const Event& e : replay_in_memory(plan, inputs_of(plan, capture_of(leaks))).events) {
    if (e.kind == EventKind::alarm_raised && e.rule == "tire_leaking") message = e.message;
  }
  EXPECT_NE(message.find("Loses 0.22 "), std::string::npos) << message;
}

TEST(HandTrend, BeginsAnewWithAFill) {
  const std::string fill =
      R"(11-13 18:00 do/act {"gear":"left","act":"filled","pressure":"52 psi","temperature":"23 degF"})"
      "\n";
  EXPECT_EQ(leaks(gauge("11-05", "47") + gauge("11-12", "44.5") + fill + gauge("11-20", "48.5")), "");
  EXPECT_EQ(leaks(fill + gauge("11-20", "51") + gauge("11-27", "48") + gauge("12-05", "45")),
            "12-05 18:00:00 alarm_raised tire_leaking left\n");
}

// Whether the fill or the reading after it is entered first: 5 psi more than October's fill asks for are none too many
// of this one, so that the tire was full twice, and then is found flat.
TEST(HandTrend, IsTheSameWhereTheFillIsToldAfterTheReading) {
  std::string site(gauged);
  const std::string_view october = "52 psi, temperature: 61 degF";
  const auto plan = plan_of(site.replace(site.find(october), october.size(), "50 psi, temperature: 50 degF"));
  const auto fill = [](std::string_view entered_at) {
    return "11-27 " + std::string(entered_at) +
           R"( do/act {"gear":"left","act":"filled","pressure":"50 psi","temperature":"10 degF","at":"2026-11-27T18:30:00Z"})"
           "\n";
  };
  const std::string air = "11-27 18:05 yard -12.2\n";
  const std::string read = R"(11-27 18:40 do/record {"gear":"left","quantity":"pressure","value":"50 psi"})"
                           "\n";
  const std::string then = R"(01-03 18:00 yard 5
    01-03 18:01 do/record {"gear":"left","quantity":"pressure","value":"53.5 psi"}
    02-07 18:00 yard -15
    02-07 18:01 do/record {"gear":"left","quantity":"pressure","value":"6 psi"}
  )";
  const std::set<std::string_view> rules{"tire_leaking", "tire_below_expected"};
  const std::string below = "02-07 18:01:00 alarm_raised tire_below_expected left\n";
  EXPECT_EQ(told(plan, air + fill("18:30") + read + then, rules), below);
  EXPECT_EQ(told(plan, air + read + fill("18:41") + then, rules), below);
}

// The same walks by hand alone, at the same -5 degC: the gauge first, and the thermometer of the tire or of its place
// some time after it. The last one was weeks ago and says nothing of today.
std::string by_hand_alone(std::string_view gear, std::string_view quantities) {
  std::string site(gauged);
  const auto put = [&site](std::string_view old, std::string_view by) { site.replace(site.find(old), old.size(), by); };
  put("{topic: yard, unit: degC}", gear == "left" ? "{topic: yard, unit: degC}" : "by_hand");
  put("pressure: by_hand", quantities);
  return site;
}

std::string entered(std::string_view at, std::string_view gear, std::string_view quantity, std::string_view value,
                    std::string_view more = "") {
  return std::string(at) + R"( do/record {"gear":")" + std::string(gear) + R"(","quantity":")" + std::string(quantity) +
         R"(","value":")" + std::string(value) + "\"" + std::string(more) + "}\n";
}

TEST(HandTrend, WaitsForTheThermometer) {
  for (const std::string_view gear : {"left", "outdoors"}) {
    const auto plan =
        plan_of(by_hand_alone(gear, gear == "left" ? "pressure: by_hand, temperature: by_hand" : "pressure: by_hand"));
    const auto walk = [&](const std::string& day, std::string_view value, const std::string& then) {
      return entered(day + " 18:00", "left", "pressure", value) +
             entered(day + " " + then, gear, "temperature", "-5 degC");
    };
    const auto walks = [&](const std::string& then) {
      return told(plan,
                  walk("11-05", "47 psi", then) + walk("11-12", "44.5 psi", then) + walk("11-20", "41.5 psi", then) +
                      entered("11-22 18:00", gear, "temperature", "-5 degC"),
                  {"tire_leaking"});
    };
    EXPECT_EQ(walks("18:00:20"), "11-20 18:00:20 alarm_raised tire_leaking left\n") << gear;
    EXPECT_EQ(walks("18:05"), "11-20 18:05:00 alarm_raised tire_leaking left\n") << gear;
    EXPECT_EQ(walks("19:55"), "11-20 19:55:00 alarm_raised tire_leaking left\n") << gear;
    EXPECT_EQ(walks("20:30"), "") << gear << ": of another time";
  }
}

// From a note, in the evening.
TEST(HandTrend, WaitsForTheThermometerThatIsEnteredWithItsTime) {
  const auto plan = plan_of(by_hand_alone("outdoors", "pressure: by_hand"));
  const auto walk = [&](const std::string& day, std::string_view value) {
    const std::string date = "2026-" + day;
    return entered(day + " 23:00", "left", "pressure", value, R"(,"at":")" + date + "T18:00:00Z\"") +
           entered(day + " 23:01", "outdoors", "temperature", "-5 degC", R"(,"at":")" + date + "T18:10:00Z\"");
  };
  EXPECT_EQ(
      told(plan, walk("11-05", "47 psi") + walk("11-12", "44.5 psi") + walk("11-20", "41.5 psi"), {"tire_leaking"}),
      "11-20 23:01:00 alarm_raised tire_leaking left\n");
}

// Gauged twice to be sure, and the thermometer is read last: both readings are of the trend, which three make.
TEST(HandTrend, KeepsEachReadingThatWaitedForTheThermometer) {
  const std::string site = R"(
season: {lay_up: 2026-10-31}
places:
  outdoors: {temperature: by_hand}
gear:
  left: {kind: tire, place: outdoors, filled: {pressure: 52 psi, temperature: 61 degF, date: 2026-10-24}, pressure: by_hand}
rules_from: [rules.yaml]
)";
  const auto plan = plan_of(site, R"(
rules:
  trend_is_known:
    applies_to: {kind: tire}
    raise_when: known(leak_rate)
    message: "{name} loses {leak_rate}."
)");
  const std::string first = entered("11-05 18:00", "left", "pressure", "47 psi") +
                            entered("11-05 18:05", "outdoors", "temperature", "-5 degC");
  const std::string again = entered("11-20 18:00", "left", "pressure", "44 psi");
  const std::string last = entered("11-20 18:20", "left", "pressure", "44.5 psi") +
                           entered("11-20 18:30", "outdoors", "temperature", "-5 degC");
  EXPECT_EQ(told(plan, first + last, {"trend_is_known"}), "");
  EXPECT_EQ(told(plan, first + again + last, {"trend_is_known"}), "11-20 18:30:00 alarm_raised trend_is_known left\n");
  EXPECT_EQ(told_over_reload(plan, plan, first + again + "---\n" + last, {"trend_is_known"}),
            "11-20 18:30:00 alarm_raised trend_is_known left\n");
}

// A tire of which no fill is told: 39 psi at -5 degC are 44 psi at 20 degC, by the gas law.
TEST(HandTrend, WaitsForTheThermometerAlsoWhereNoFillIsTold) {
  constexpr std::string_view site = R"(
places:
  outdoors: {temperature: by_hand}
gear:
  left: {kind: tire, place: outdoors, minimum_pressure: 50 psi, pressure: by_hand}
rules_from: [standard]
)";
  EXPECT_EQ(told(plan_of(site),
                 entered("11-05 18:00", "left", "pressure", "39 psi") +
                     entered("11-05 18:05", "outdoors", "temperature", "-5 degC"),
                 {"tire_under_minimum"}),
            "11-05 18:05:00 alarm_raised tire_under_minimum left\n");
}

// Of which nobody told a fill or a minimum, and no thermometer is near. 5 psi: common practice, no source.
TEST(HandTrend, ATireThatIsNearlyFlatIsToldWhateverElseIsKnown) {
  constexpr std::string_view site = R"(
places:
  outdoors: {}
gear:
  left: {kind: tire, place: outdoors, pressure: by_hand}
rules_from: [standard]
)";
  const auto alarms = [&](std::string_view psi) {
    return told(plan_of(site), entered("11-05 18:00", "left", "pressure", psi),
                {"tire_nearly_flat", "tire_under_minimum", "tire_below_expected"});
  };
  EXPECT_EQ(alarms("4 psi"), "11-05 18:00:00 alarm_raised tire_nearly_flat left\n");
  EXPECT_EQ(alarms("20 psi"), "");
}

// What was read before the fill says nothing of the tire as it was filled. 5 psi: common practice, no source.
TEST(HandTrend, ATireThatWasFoundFlatIsToldNoMoreOnceItWasFilled) {
  const std::set<std::string_view> rules{"tire_below_expected", "tire_nearly_flat", "tire_under_minimum"};
  const std::string filled = R"(11-20 18:10 do/act {"gear":"left","act":"filled","pressure":"47 psi"})";
  std::string site(gauged);
  site.insert(site.find(", pressure: by_hand"), ", minimum_pressure: 40 psi");
  const std::string below = R"(11-20 18:00:00 alarm_raised tire_below_expected left
11-20 18:00:00 alarm_suppressed tire_nearly_flat left
11-20 18:00:00 alarm_suppressed tire_under_minimum left
11-20 18:10:00 alarm_cleared tire_below_expected left
11-20 18:10:00 alarm_unsuppressed tire_nearly_flat left: cleared
11-20 18:10:00 alarm_unsuppressed tire_under_minimum left: cleared
)";
  EXPECT_EQ(told(plan_of(site), gauge("11-20", "3") + filled, rules), below);
  EXPECT_EQ(told(plan_of(site), gauge("11-20", "3") + filled + "\n" + gauge("11-21", "3"), rules).substr(below.size()),
            R"(11-21 18:00:00 alarm_raised tire_below_expected left
11-21 18:00:00 alarm_suppressed tire_nearly_flat left
11-21 18:00:00 alarm_suppressed tire_under_minimum left
)");
  site.erase(site.find("filled: {"), site.find("}, ", site.find("filled: {")) + 3 - site.find("filled: {"));
  EXPECT_EQ(told(plan_of(site), gauge("11-20", "3") + filled, {"tire_nearly_flat"}),
            R"(11-20 18:00:00 alarm_raised tire_nearly_flat left
11-20 18:10:00 alarm_cleared tire_nearly_flat left
)");
}

// A slip in the year of the fill: what is read today is of today's tire all the same. 5 psi: common practice, no
// source.
TEST(HandTrend, ATireThatIsNearlyFlatIsToldBeforeAFillThatIsYetToCome) {
  std::string site(gauged);
  const std::string_view october = "date: 2026-10-24";
  site.replace(site.find(october), october.size(), "date: 2027-10-24");
  EXPECT_EQ(told(plan_of(site), gauge("11-20", "3") + gauge("11-21", "3"), {"tire_nearly_flat"}),
            "11-20 18:00:00 alarm_raised tire_nearly_flat left\n");
}

TEST(HandTrend, OutlivesARestart) {
  const std::string story = gauge("11-05", "47") + gauge("11-12", "44.5") + "---\n" + gauge("11-20", "41.5");
  EXPECT_EQ(told_over_reload(plan_of(gauged), plan_of(gauged), story, {"tire_leaking"}),
            "11-20 18:00:00 alarm_raised tire_leaking left\n");
}

}  // namespace
}  // namespace overwinter
