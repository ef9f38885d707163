// Faults as a person sees them, whole. More of them: tests/conformance/conditions.txt.
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "rules/language/source.h"
#include "tests/rules/language/fake_scope.h"

namespace overwinter {
namespace {

std::string drawn(std::string_view text, Wanted wanted = Wanted::any) {
  const FakeScope scope = fake::world();
  const Result<Program> program = compile(text, scope, fake::functions(), wanted);
  return program ? "no fault" : render_fault(program.error(), text);
}

TEST(Checker, ABareShareIsToldInPercent) {
  EXPECT_EQ(drawn("humidity > 60"),
            "1:12: error: `60` without a unit is no share\n"
            "humidity > 60\n"
            "           ^~\n"
            "hint: write `60 %`");
}

TEST(Checker, GaugeAgainstAbsoluteNamesTheWayOut) {
  EXPECT_EQ(drawn("pressure > outdoors.station_pressure"),
            "1:10: error: a gauge pressure and an absolute pressure do not go together\n"
            "pressure > outdoors.station_pressure\n"
            "         ^\n"
            "hint: `absolute(x)` and `gauge(x)` turn one into the other");
}

TEST(Checker, ChainedComparisonsAreWrittenOut) {
  EXPECT_EQ(drawn("5 °C < temperature < 7 °C"),
            "1:20: error: comparisons do not chain\n"
            "5 °C < temperature < 7 °C\n"
            "                   ^\n"
            "hint: write `5 °C < temperature and temperature < 7 °C`");
}

TEST(Checker, AConditionMustBeTrueOrFalse) {
  EXPECT_EQ(drawn("pressure + 3 psi", Wanted::boolean),
            "1:1: error: a condition is true or false, and this is a gauge pressure\n"
            "pressure + 3 psi\n"
            "^~~~~~~~~~~~~~~~\n"
            "hint: compare it with something, as in `x < y`");
  EXPECT_EQ(drawn("pressure > 3 psi", Wanted::boolean), "no fault");
}

TEST(Checker, TheFirstFaultFromTheLeftIsTold) {
  EXPECT_EQ(drawn("temprature > 5 and humidity > 60").substr(0, 30), "1:1: error: there is no `tempr");
}

// All faults of a text as "column text".
std::vector<std::string> all_faults(std::string_view text) {
  const FakeScope scope = fake::world();
  Faults faults;
  const Result<Program> program = compile(text, scope, fake::functions(), Wanted::boolean, &faults);
  std::vector<std::string> told;
  if (!program) faults.insert(faults.begin(), program.error());
  for (const Fault& fault : faults) told.push_back(std::to_string(fault.where.column) + " " + fault.text);
  return told;
}

using Sayings = std::vector<std::string>;

TEST(Checker, ASecondFaultThatIsItsOwnIsToldToo) {
  EXPECT_EQ(all_faults("temprature > 5 degC and humidty > 60 %"),
            (Sayings{"1 there is no `temprature` here", "25 there is no `humidty` here"}));
  EXPECT_EQ(all_faults("pressure < 40 and humidity > 60"),
            (Sayings{"12 `40` has no unit, and a gauge pressure needs one", "30 `60` without a unit is no share"}));
  EXPECT_EQ(all_faults("max(temprature, humidty) > 5 degC"),
            (Sayings{"5 there is no `temprature` here", "17 there is no `humidty` here"}));
}

TEST(Checker, WhatFollowsFromAFaultIsNotTold) {
  EXPECT_EQ(all_faults("-abs(temprature + 3 psi) * 2 < 40"), Sayings{"6 there is no `temprature` here"});
  EXPECT_EQ(all_faults("temprature > 5 and pressure > 40 psi"), Sayings{"1 there is no `temprature` here"});
  EXPECT_EQ(all_faults("temprature"), Sayings{"1 there is no `temprature` here"});
}

TEST(Checker, ASoundTextHasNoFaults) { EXPECT_EQ(all_faults("pressure > 40 psi and humidity > 60 %"), Sayings{}); }

TEST(Checker, TooManyPowersAreRefused) {
  std::string text = "pressure.deviation";
  for (int i = 0; i < 12; ++i) text += " * pressure.deviation";
  EXPECT_NE(drawn(text).find("too many powers of a unit"), std::string::npos);
}

TEST(Checker, TooManyValuesAtOnceAreRefused) {
  std::string text = "min(humidity";
  for (int i = 0; i < 127; ++i) text += ", humidity";
  EXPECT_EQ(drawn(text + ")"), "no fault");
  EXPECT_NE(drawn("humidity + " + text + ")").find("too many values at once"), std::string::npos);
  EXPECT_NE(drawn(text + ", humidity)").find("takes fewer arguments"), std::string::npos);
}

TEST(Checker, DatesBeginWithTheLocalDay) {
  FakeScope scope = fake::world();
  scope.time_zone.changes = {{Instant::min(), std::chrono::hours(-6)}};
  const Program program = fake::compile_any("2026-10-24", scope).value();
  EXPECT_EQ(program.constants[0], to_seconds(*parse_rfc3339("2026-10-24T06:00:00Z")));
}

}  // namespace
}  // namespace overwinter
