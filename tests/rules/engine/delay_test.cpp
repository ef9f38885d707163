// Delays run on elapsed time, stop while the condition is unknown, and never end in an alarm on one packet.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include "tests/rules/engine/story.h"

namespace overwinter {
namespace {

constexpr std::string_view fades = R"(
places:
  outdoors: {temperature: {topic: yard, unit: degC}}
  camper: {temperature: {topic: camper, unit: degC, stale_after: 30 min}}
rules_from: [rules.yaml]
)";

constexpr std::string_view hatch_open = R"(
rules:
  hatch_open:
    applies_to: {gear: hatch}
    raise_when: open
    on_delay: 30 min
    off_delay: 10 min
    message: "{name} is open."
)";

TEST(Delay, EndsBetweenTwoMessagesWithItsOwnInstant) {
  EXPECT_EQ(told(plan_of(camper_with_hatch, camper_cold("on_delay: 30 min")), R"(
    12-01 00:00 camper -5
    12-01 00:10 camper -5
    12-01 02:00 yard 0
  )",
                 {"camper_cold"}),
            lines_of(R"(
    12-01 00:30:00 alarm_raised camper_cold camper
  )"));
}

TEST(Delay, BeginsAnewAfterTheConditionWasFalse) {
  EXPECT_EQ(told(plan_of(camper_with_hatch, camper_cold("on_delay: 30 min")), R"(
    12-01 00:00 camper -5
    12-01 00:20 camper 5
    12-01 00:25 camper -5
    12-01 00:50 camper -5
    12-01 02:00 yard 0
  )",
                 {"camper_cold"}),
            lines_of(R"(
    12-01 00:55:00 alarm_raised camper_cold camper
  )"));
}

TEST(Delay, WaitsForASecondReadingOfTheNumber) {
  EXPECT_EQ(told(plan_of(camper_with_hatch, camper_cold("on_delay: 30 min")), R"(
    12-01 00:00 camper -5
    12-01 00:40 yard -5
    12-01 01:00 camper -5
  )",
                 {"camper_cold"}),
            lines_of(R"(
    12-01 01:00:00 alarm_raised camper_cold camper
  )"));
}

TEST(Delay, WithoutOneStillWaitsForTheSecondReading) {
  EXPECT_EQ(told(plan_of(camper_with_hatch, camper_cold()), R"(
    12-01 00:00 camper -5
    12-01 00:01 camper -5
  )",
                 {"camper_cold"}),
            lines_of(R"(
    12-01 00:01:00 alarm_raised camper_cold camper
  )"));
}

TEST(Delay, NeverEndsForANumberThatAlternates) {
  EXPECT_EQ(told(plan_of(camper_with_hatch, camper_cold()), R"(
    12-01 00:00 camper -5
    12-01 00:01 camper 5
    12-01 00:02 camper -5
    12-01 00:03 camper 5
    12-01 00:04 camper -5
  )",
                 {"camper_cold"}),
            "");
}

TEST(Delay, OfABooleanNeedsNoSecondMessage) {
  EXPECT_EQ(told(plan_of(camper_with_hatch, hatch_open), R"(
    12-01 00:00 hatch open
    12-01 02:00 hatch closed
    12-01 03:00 yard 0
  )",
                 {"hatch_open"}),
            lines_of(R"(
    12-01 00:30:00 alarm_raised hatch_open hatch
    12-01 02:10:00 alarm_cleared hatch_open hatch
  )"));
}

TEST(Delay, DoesNotApplyWhenAPersonHasLooked) {
  EXPECT_EQ(told(plan_of(camper_with_hatch, camper_cold("on_delay: 30 min\noff_delay: 4 h")), R"(
    12-01 00:00 yard 0
    12-01 01:00 do/record {"gear":"camper","quantity":"temperature","value":"-5 degC"}
    12-01 02:00 do/record {"gear":"camper","quantity":"temperature","value":"5 degC"}
    12-01 03:00 yard 0
  )",
                 {"camper_cold"}),
            lines_of(R"(
    12-01 01:00:00 alarm_raised camper_cold camper
    12-01 02:00:00 alarm_cleared camper_cold camper
  )"));
}

TEST(Delay, StopsWhileUnknownAndGoesOn) {
  EXPECT_EQ(told(plan_of(fades, camper_cold("on_delay: 1 h")), R"(
    12-01 00:00 camper -5
    12-01 00:10 camper -5
    12-01 02:00 camper -5
    12-01 02:10 camper -5
    12-01 03:00 yard 0
  )",
                 {"camper_cold"}),
            lines_of(R"(
    12-01 02:20:00 alarm_raised camper_cold camper
  )"));
}

TEST(Delay, GoesOnAfterLessThanADayOfUnknown) {
  EXPECT_EQ(told(plan_of(fades, camper_cold("on_delay: 1 h")), R"(
    12-01 00:00 camper -5
    12-01 00:10 camper -5
    12-02 00:30 camper -5
    12-02 00:40 camper -5
    12-02 03:30 yard 0
  )",
                 {"camper_cold"}),
            lines_of(R"(
    12-02 00:50:00 alarm_raised camper_cold camper
  )"));
}

TEST(Delay, BeginsAnewAfterMoreThanADayOfUnknown) {
  EXPECT_EQ(told(plan_of(fades, camper_cold("on_delay: 1 h")), R"(
    12-01 00:00 camper -5
    12-01 00:10 camper -5
    12-02 02:00 camper -5
    12-02 02:25 camper -5
    12-02 02:50 camper -5
    12-02 03:30 yard 0
  )",
                 {"camper_cold"}),
            lines_of(R"(
    12-02 03:00:00 alarm_raised camper_cold camper
  )"));
}

TEST(Delay, OfClearingBeginsAnewWhenTheConditionReturns) {
  EXPECT_EQ(told(plan_of(camper_with_hatch, camper_cold("off_delay: 1 h")), R"(
    12-01 00:00 camper -5
    12-01 00:01 camper -5
    12-01 02:00 camper 5
    12-01 02:10 camper -1
    12-01 02:20 camper 5
    12-01 05:00 yard 0
  )",
                 {"camper_cold"}),
            lines_of(R"(
    12-01 00:01:00 alarm_raised camper_cold camper
    12-01 03:20:00 alarm_cleared camper_cold camper
  )"));
}

constexpr std::string_view held = R"(
rules:
  camper_cold:
    applies_to: {place: camper}
    raise_when: held_for(temperature < 0 degC, 1 h)
    message: Cold.
)";

TEST(Delay, OfAWindowEndsBetweenTwoMessages) {
  EXPECT_EQ(told(plan_of(camper_with_hatch, held), R"(
    12-01 00:00 camper -5
    12-01 00:30 camper -5
    12-01 02:00 yard 3
  )",
                 {"camper_cold"}),
            "12-01 01:00:00 alarm_raised camper_cold camper\n");
}

TEST(Delay, OfAWindowWaitsForASecondReadingToo) {
  EXPECT_EQ(told(plan_of(camper_with_hatch, held), R"(
    12-01 00:00 camper -5
    12-01 02:00 yard 3
    12-01 03:00 camper -3
  )",
                 {"camper_cold"}),
            "12-01 03:00:00 alarm_raised camper_cold camper\n");
}

// Three readings said it: that the last of them comes at the deadline itself, or leapt, makes it no single packet.
TEST(Delay, OfAWindowEndsAtTheReadingOfItsDeadline) {
  EXPECT_EQ(told(plan_of(camper_with_hatch, held), R"(
    12-01 00:00 camper -5
    12-01 00:30 camper -9
    12-01 01:00 camper -2
    12-01 02:00 camper -5
  )",
                 {"camper_cold"}),
            "12-01 01:00:00 alarm_raised camper_cold camper\n");
}

TEST(Delay, OfAWindowThatANumberLeftInTheMiddleEndsWithItsOwnInstant) {
  EXPECT_EQ(told(plan_of(camper_with_hatch, held), R"(
    12-01 00:00 camper -5
    12-01 00:40 camper -25
    12-01 02:00 yard 3
  )",
                 {"camper_cold"}),
            "12-01 01:00:00 alarm_raised camper_cold camper\n");
}

// Each window rests on many readings that agree; the one that arrives as they turn true adds nothing to a mean yet.
TEST(Delay, AConditionOfSeveralWindowsWaitsForNoFurtherReading) {
  std::string story;
  for (int hour = 0; hour < 20; ++hour) {
    story += fmt::format("12-01 {:02}:00 camper {}\n", hour, hour < 4 ? 1.0 : -2.0 - 0.1 * (hour % 3));
  }
  EXPECT_EQ(told(plan_of(camper_with_hatch, R"(
rules:
  cold:
    applies_to: {place: camper}
    raise_when: held_for(temperature < 0 degC, 6 h) and mean(temperature, 12 h) < 0 degC
    off_delay: 1 h
    message: cold
  lowest:
    applies_to: {place: camper}
    raise_when: held_for(temperature < 0 degC, 6 h) and lowest(temperature, 6 h) < -2 degC
    off_delay: 1 h
    message: cold
)"),
                 story, {"cold", "lowest"}),
            lines_of(R"(
    12-01 10:00:00 alarm_raised cold camper
    12-01 11:00:00 alarm_raised lowest camper
  )"));
}

// Taken half an hour ago it has weight at once: one packet.
TEST(Delay, AShareThatOneLateReadingMakesWaitsForTheNext) {
  EXPECT_EQ(told(plan_of(R"(
places:
  camper: {temperature: {topic: camper, unit: degC, pointer: /v, time_pointer: /at}}
rules_from: [rules.yaml]
)",
                         R"(
rules:
  cold:
    applies_to: {place: camper}
    raise_when: time_share(temperature < 0 degC, 2 h) > 30 %
    off_delay: 1 h
    message: cold
)"),
                 R"(
    12-01 00:00 camper {"v":0.1,"at":"2026-12-01T00:00:00Z"}
    12-01 02:00 camper {"v":0.1,"at":"2026-12-01T02:00:00Z"}
    12-01 04:00 camper {"v":-0.1,"at":"2026-12-01T03:00:00Z"}
    12-01 04:30 camper {"v":-0.1,"at":"2026-12-01T04:30:00Z"}
  )",
                 {"cold"}),
            lines_of(R"(
    12-01 04:30:00 alarm_raised cold camper
  )"));
}

// What is read beside held_for needs its second reading as ever.
TEST(Delay, OfAWindowDoesNotExcuseWhatIsReadBesideIt) {
  constexpr std::string_view beside = R"(
rules:
  camper_cold:
    applies_to: {place: camper}
    raise_when: held_for(temperature < 0 degC, 1 h) and temperature < -20 degC
    message: Cold.
)";
  EXPECT_EQ(told(plan_of(camper_with_hatch, beside), R"(
    12-01 00:00 camper -5
    12-01 00:30 camper -5
    12-01 01:00 camper -25
    12-01 01:30 camper -25
  )",
                 {"camper_cold"}),
            "12-01 01:30:00 alarm_raised camper_cold camper\n");
}

// A model that has seen two readings agree is believed at once; one flat packet is not.
TEST(OnePacket, AFlatTireIsToldAtItsSecondReading) {
  const auto plan = plan_of(std::string(thermometers) +
                            "gear:\n  tire: {kind: tire, place: outdoors, minimum_pressure: 40 psi, pressure: {topic: "
                            "tire, unit: psi}, filled: {pressure: 52 psi, temperature: 5 degC, date: 2026-11-01}}\n");
  const auto story = [](std::string_view end) {
    std::string text;
    for (int hour = 0; hour < 12; ++hour) {
      const std::string at = "12-01 " + std::string(hour < 10 ? "0" : "") + std::to_string(hour) + ":00 ";
      text += at + "yard 5\n" + at + "tire 52\n";
    }
    return text + std::string(end);
  };
  EXPECT_EQ(told(plan, story("12-01 12:00 tire 0\n12-01 18:00 yard 5\n"), {"tire_sudden_loss"}), "");
  EXPECT_EQ(told(plan, story("12-01 12:00 tire 0\n12-01 12:00:02 tire 0\n12-01 18:00 yard 5\n"), {"tire_sudden_loss"}),
            "")
      << "the same packet twice";
  EXPECT_EQ(told(plan, story("12-01 12:00 tire 0\n12-01 12:20 tire 0\n12-01 18:00 yard 5\n"), {"tire_sudden_loss"}),
            "12-01 12:20:00 alarm_raised tire_sudden_loss tire\n");
}

// The number leapt just before the boolean completed the condition: still one packet.
TEST(OnePacket, OfALeapThatAnotherInputCompletesWaitsForTheSecond) {
  constexpr std::string_view open_in_the_cold = R"(
rules:
  hatch_open:
    applies_to: {gear: hatch}
    raise_when: open and place.temperature < -20 degC
    message: "{name} is open."
)";
  const auto raised = [&](std::string_view story) {
    return told(plan_of(camper_with_hatch, open_in_the_cold), story, {"hatch_open"});
  };
  EXPECT_EQ(raised(R"(
    12-01 00:00 camper 2
    12-01 01:00 camper 2.1
    12-01 02:00 camper -25
    12-01 02:01 hatch open
    12-01 02:30 yard 0
    12-01 03:00 camper 2
    12-01 04:00 camper 2
  )"),
            "");
  EXPECT_EQ(raised(R"(
    12-01 00:00 camper -25
    12-01 01:00 camper -25.1
    12-01 02:01 hatch open
  )"),
            "12-01 02:01:00 alarm_raised hatch_open hatch\n");
}

// The hatch and a thermometer in one message: the number lay there before, so the condition rests on no single packet.
TEST(Delay, DoesNotWaitForANumberThatCameWithTheBooleanThatMadeItTrue) {
  const auto plan = plan_of(R"(
places:
  outdoors: {temperature: {topic: yard, unit: degC}}
  camper: {temperature: {topic: both, pointer: /t, unit: degC}}
gear:
  hatch: {kind: door_or_vent, place: camper, should_be: closed, open: {topic: both, pointer: /open}}
rules_from: [rules.yaml]
)",
                            R"(
rules:
  hatch_open: {applies_to: {gear: hatch}, raise_when: open and place.temperature < 0 degC, message: Open in frost.}
)");
  EXPECT_EQ(told(plan, R"(
    12-01 00:00 both {"t":-5,"open":false}
    12-01 01:00 both {"t":-5.2,"open":true}
  )",
                 {"hatch_open"}),
            "12-01 01:00:00 alarm_raised hatch_open hatch\n");
  EXPECT_EQ(told(plan, R"(
    12-01 00:00 both {"t":5,"open":false}
    12-01 01:00 both {"t":-5,"open":true}
    12-01 02:00 both {"t":-5,"open":true}
  )",
                 {"hatch_open"}),
            "12-01 02:00:00 alarm_raised hatch_open hatch\n")
      << "one packet";
  EXPECT_EQ(told(plan, R"(
    12-01 00:00 both {"t":-5,"open":false}
    12-02 00:00 both {"t":-5,"open":true}
    12-02 01:00 both {"t":-5,"open":true}
  )",
                 {"hatch_open"}),
            "12-02 01:00:00 alarm_raised hatch_open hatch\n")
      << "a day later nothing is left of the one before";
}

// The door alone is enough: a thermometer that spoke once, and perhaps never will again, holds nothing up.
TEST(OnePacket, HoldsUpNoBooleanThatIsEnoughByItself) {
  const auto raised = [](std::string_view delay, std::string_view story) {
    return told(plan_of(camper_with_hatch, fmt::format(R"(
rules:
  hatch_open:
    applies_to: {{gear: hatch}}
    raise_when: open or place.temperature < -20 degC
    on_delay: {}
    message: "{{name}} is open."
)",
                                                       delay)),
                story, {"hatch_open"});
  };
  EXPECT_EQ(raised("0 min", R"(
    12-01 00:00 camper 2
    12-01 01:00 hatch open
    12-02 00:00 yard 0
  )"),
            "12-01 01:00:00 alarm_raised hatch_open hatch\n")
      << "its only reading";
  EXPECT_EQ(raised("10 min", R"(
    12-01 00:00 camper 2
    12-01 01:00 camper -25
    12-01 02:00 hatch open
    12-02 00:00 yard 0
  )"),
            "12-01 02:00:00 alarm_raised hatch_open hatch\n")
      << "a leap that the door makes needless";
  EXPECT_EQ(raised("10 min", R"(
    12-01 00:00 camper 2
    12-01 01:00 camper -25
    12-01 08:00 hatch open
    12-02 00:00 yard 0
  )"),
            "12-01 08:00:00 alarm_raised hatch_open hatch\n")
      << "the thermometer fell silent meanwhile";
  EXPECT_EQ(raised("10 min", R"(
    12-01 00:00 camper 2
    12-01 01:00 camper -25
    12-01 01:02 hatch open
    12-01 02:00 yard 0
  )"),
            "12-01 01:10:00 alarm_raised hatch_open hatch\n")
      << "the door stands open when the delay has run out";
  EXPECT_EQ(raised("10 min", R"(
    12-01 00:00 camper 2
    12-01 01:00 camper -25
    12-01 01:02 hatch open
    12-01 01:04 hatch shut
    12-01 02:00 camper 2
  )"),
            "")
      << "the door is shut again, and there is only the one packet";
}

// Nor what a model or a window makes of it; a window keeps a single packet, and the silence after it confirms nothing.
TEST(OnePacket, HoldsUpNoBooleanBesideAModelOrAWindow) {
  const auto raised = [](std::string_view condition, std::string_view story) {
    return told(plan_of(camper_with_hatch, fmt::format(R"(
rules:
  hatch_open: {{applies_to: {{gear: hatch}}, raise_when: '{}', message: "{{name}} is open."}}
)",
                                                       condition)),
                story, {"hatch_open"});
  };
  for (const std::string_view condition : {
           "open or mean(place.temperature, 1 h) < -20 degC",
           "open or lowest(place.temperature, 12 h) < -20 degC",
           "open or held_for(place.temperature < -20 degC, 1 h)",
           "open or place.cold_mass_temperature < -20 degC",
           "open or first_known(change(place.temperature, 1 h) < -5 K, false)",
       }) {
    EXPECT_EQ(raised(condition, "12-01 00:00 camper 2\n12-01 01:00 hatch open\n12-02 00:00 yard 0\n"),
              "12-01 01:00:00 alarm_raised hatch_open hatch\n")
        << condition;
  }
  EXPECT_EQ(raised("open or lowest(place.temperature, 12 h) < -20 degC",
                   "12-01 00:00 camper 2\n12-01 01:00 camper -25\n12-01 12:30 yard 0\n"),
            "");
}

// Two numbers of one bad packet do not confirm each other.
TEST(Delay, WaitsForTheNextPacketOfTwoNumbersOfWhichEitherIsEnough) {
  const auto plan = plan_of(R"(
places:
  outdoors: {temperature: {topic: yard, unit: degC}}
  camper: {temperature: {topic: both, pointer: /t, unit: degC}, humidity: {topic: both, pointer: /h, unit: "%"}}
rules_from: [rules.yaml]
)",
                            R"(
rules:
  bad_air: {applies_to: {place: camper}, raise_when: temperature < 0 degC or humidity > 90 %, message: Bad air.}
)");
  EXPECT_EQ(told(plan, R"(
    12-01 00:00 both {"t":5,"h":50}
    12-01 00:10 both {"t":-40,"h":100}
    12-01 00:20 both {"t":5,"h":50}
  )",
                 {"bad_air"}),
            "");
  EXPECT_EQ(told(plan, R"(
    12-01 00:00 both {"t":5,"h":50}
    12-01 00:10 both {"t":-40,"h":100}
    12-01 00:20 both {"t":-4,"h":99}
  )",
                 {"bad_air"}),
            "12-01 00:20:00 alarm_raised bad_air camper\n");
}

}  // namespace
}  // namespace overwinter
