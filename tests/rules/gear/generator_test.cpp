#include <gtest/gtest.h>

#include <chrono>
#include <string>
#include <vector>

#include "rules/gear/kinds.h"
#include "tests/rules/gear/fake_surroundings.h"
#include "tests/rules/gear/saved_model.h"

namespace overwinter {
namespace {

using namespace std::chrono_literals;

constexpr double complete = 0, run_only = 1, short_run = 2, none = 3;

struct Shed {
  FakeSurroundings around{generator_kind()};
  std::unique_ptr<Model> model = generator_kind().make_model();
  int became_complete = 0;  // as a reminder sees it
  bool was_complete = false;

  void step() {
    model->update(around);
    around.end_step();
    const bool now = around.is_true("exercise_complete");
    if (now && !was_complete) ++became_complete;
    was_complete = now;
  }
  // Lets time pass, waking the model when it asks.
  void pass(Span span) {
    const Instant end = around.time + span;
    while (model->next_wake() <= end) {
      around.time = model->next_wake();
      step();
    }
    around.time = end;
  }
  void reads(std::string_view quantity, double value) {
    around.read(quantity, value);
    step();
  }
  void runs(Span span) {
    reads("running", 1);
    pass(span);
    reads("running", 0);
  }
};

Shed standby_of_10_kilowatts() {
  Shed shed;
  shed.around.set_parameter("type", 1);
  shed.around.set_parameter("rated_power", 10e3);
  return shed;
}

TEST(Generator, WithoutASourceNothingIsKnown) {
  Shed shed;
  shed.step();
  EXPECT_FALSE(shed.around.value("exercise_complete"));
  EXPECT_FALSE(shed.around.value("exercise_verdict"));
}

TEST(Generator, HasNotRunUntilItRuns) {
  Shed shed;
  shed.reads("running", 0);
  EXPECT_EQ(shed.around.value("exercise_verdict"), none);
  EXPECT_EQ(shed.around.value("exercise_complete"), 0);
  EXPECT_FALSE(shed.around.value("last_exercise"));
}

TEST(Generator, PortableCountsAfterTwentyMinutesToTheSecondAndSaysThatTheLoadIsNotKnown) {
  // 20 min: common practice, no source.
  Shed shed;
  const Instant start = shed.around.time;
  shed.reads("running", 1);
  EXPECT_EQ(shed.model->next_wake(), start + 20min);
  shed.pass(19min + 59s);
  EXPECT_FALSE(shed.around.is_true("exercise_complete"));
  shed.pass(1s);
  EXPECT_TRUE(shed.around.is_true("exercise_complete"));
  EXPECT_EQ(shed.around.value("last_exercise"), to_seconds(start + 20min));
  EXPECT_TRUE(shed.around.questions.empty());  // how long it ran is known when it stands
  shed.pass(30min);
  shed.reads("running", 0);
  shed.pass(2min);
  EXPECT_EQ(shed.around.questions,
            (std::vector<std::string>{"it ran 50 min and that counts as its exercise; load not known"}));
}

TEST(Generator, StandbyNeedsThirtyMinutesAtThirtyPercentOfItsRating) {
  // NFPA 110, 8.4.2: monthly, 30 min, at 30 % of the nameplate kilowatts or more.
  Shed shed = standby_of_10_kilowatts();
  shed.reads("running", 1);
  shed.reads("load", 3000);
  shed.pass(29min);
  EXPECT_FALSE(shed.around.is_true("exercise_complete"));
  shed.pass(1min);
  EXPECT_TRUE(shed.around.is_true("exercise_complete"));
  EXPECT_TRUE(shed.around.questions.empty());
}

TEST(Generator, StandbyWithTooLittleLoadHasOnlyRun) {
  Shed shed = standby_of_10_kilowatts();
  shed.reads("load", 2900);
  shed.runs(40min);
  shed.pass(2min);
  EXPECT_EQ(shed.around.value("exercise_verdict"), run_only);
  EXPECT_EQ(shed.became_complete, 0);
}

TEST(Generator, HotOilProvesTheRunInsteadOfLoad) {
  // 10 min at 70 degC: common practice, no source.
  Shed shed = standby_of_10_kilowatts();
  shed.reads("load", 0);
  shed.reads("running", 1);
  shed.pass(25min);
  shed.reads("oil_temperature", 71);
  shed.pass(9min);
  EXPECT_EQ(shed.became_complete, 0);
  shed.pass(1min);
  EXPECT_EQ(shed.became_complete, 1);
}

TEST(Generator, PortableNeedsFifteenOfItsTwentyMinutesUnderLoad) {
  Shed shed;
  shed.around.set_parameter("rated_power", 2000);
  shed.reads("running", 1);
  shed.reads("load", 0);
  shed.pass(7min);
  shed.reads("load", 500);
  shed.pass(14min);
  EXPECT_EQ(shed.became_complete, 0);
  shed.pass(1min);
  EXPECT_EQ(shed.became_complete, 1);
}

// A load that is measured is known, be it 0 W: only where neither load nor heat is known does running alone count.
TEST(Generator, LoadWithoutARatingProvesNothing) {
  Shed shed;
  shed.reads("running", 1);
  shed.reads("load", 0);
  shed.pass(25min);
  shed.reads("running", 0);
  shed.pass(2min);
  EXPECT_EQ(shed.became_complete, 0);
  EXPECT_EQ(shed.around.value("exercise_verdict"), run_only);
  EXPECT_EQ(shed.around.questions,
            (std::vector<std::string>{"it ran 25 min, and without a rated_power no load proves that it was enough"}));
  Explanation why;
  shed.model->explain(shed.around, *generator_kind().quantity("exercise_verdict"), shed.around.time, why);
  EXPECT_EQ(why.missing, std::vector<std::string>{"rated_power: not given; without it no load proves the run"});
}

TEST(Generator, HotOilProvesTheRunAlsoWithoutARating) {
  Shed shed;
  shed.reads("load", 500);
  shed.reads("oil_temperature", 75);
  shed.runs(20min);
  EXPECT_EQ(shed.became_complete, 1);
}

TEST(Generator, AShortRunIsTold) {
  Shed shed;
  shed.runs(12min);
  shed.pass(2min);
  EXPECT_EQ(shed.around.value("exercise_verdict"), short_run);
  EXPECT_EQ(shed.around.value("running_time"), 720);
  EXPECT_EQ(shed.became_complete, 0);
}

TEST(Generator, AGapBelowAMinuteDoesNotEndARunAndALongerOneDoes) {
  Shed once;
  once.runs(12min);
  once.pass(59s);
  once.runs(8min);
  EXPECT_EQ(once.became_complete, 1);

  Shed twice;
  twice.runs(12min);
  twice.pass(61s);
  twice.runs(12min);
  twice.pass(5min);
  EXPECT_EQ(twice.became_complete, 0);
  EXPECT_EQ(twice.around.value("exercise_verdict"), short_run);
}

TEST(Generator, EachRunThatCountsIsSeenOnce) {
  Shed shed;
  shed.runs(90min);
  EXPECT_TRUE(shed.around.is_true("exercise_complete"));
  shed.pass(61min + 1s);
  EXPECT_FALSE(shed.around.is_true("exercise_complete"));
  EXPECT_EQ(shed.around.value("exercise_verdict"), complete);
  EXPECT_EQ(shed.became_complete, 1);
  shed.runs(20min);
  shed.pass(10min);
  shed.runs(25min);  // begins while the last one still shows
  EXPECT_EQ(shed.became_complete, 3);
  shed.pass(2 * one_day);
  EXPECT_EQ(shed.became_complete, 3);
}

TEST(Generator, ARepeatedStateMessageChangesNothing) {
  Shed shed;
  shed.reads("running", 1);
  for (int minute = 0; minute < 30; ++minute) {
    shed.pass(1min);
    shed.reads("running", 1);
  }
  EXPECT_EQ(shed.became_complete, 1);
  EXPECT_EQ(shed.around.value("running_time"), 1800);
}

TEST(Generator, ARunThatAPersonEntersInTheEveningCountsByItsOwnTimes) {
  Shed shed;
  shed.reads("running", 0);
  const Instant morning = shed.around.time + 2h;
  shed.around.time += 10h;
  shed.around.read_at("running", morning, 1, {}, true);
  shed.step();
  EXPECT_FALSE(shed.around.is_true("exercise_complete"));  // not eight hours of running
  shed.around.read_at("running", morning + 25min, 0, {}, true);
  shed.step();
  EXPECT_EQ(shed.became_complete, 1);
  EXPECT_EQ(shed.around.value("running_time"), 1500);
  shed.pass(2h);
  EXPECT_FALSE(shed.around.is_true("exercise_complete"));
}

TEST(Generator, AHandReadingOfLoadFromAnEarlierRunProvesNothing) {
  Shed shed;
  shed.around.set_parameter("rated_power", 2000);
  shed.around.read("load", 1500, {}, true);
  shed.around.time += 30 * one_day;
  shed.reads("running", 1);
  shed.pass(20min);
  EXPECT_EQ(shed.became_complete, 1);
  shed.reads("running", 0);
  shed.pass(2min);
  EXPECT_EQ(shed.around.questions.size(), 1U);  // counted because the load is not known
}

TEST(Generator, OilIsDueByTheCalendarOrByTheHours) {
  Shed shed;
  shed.reads("running", 0);
  EXPECT_FALSE(shed.around.value("time_until_oil_change"));
  shed.around.set_parameter("oil.changed", to_seconds(shed.around.time - 65 * one_day));
  shed.around.set_parameter("oil.hours", 20 * 3600);
  shed.step();
  EXPECT_EQ(shed.around.value("time_until_oil_change"), 300 * 86400.0);
  shed.runs(20h);
  shed.step();
  EXPECT_EQ(shed.around.value("time_until_oil_change"), 0);
}

// Not at the end of a long run: the hours are used up in the midst of it.
TEST(Generator, OilIsDueTheMomentItsHoursAreUsedUp) {
  Shed shed;
  shed.around.set_parameter("oil.changed", to_seconds(shed.around.time - 2 * one_day));
  shed.around.set_parameter("oil.hours", 20 * 3600);
  shed.reads("running", 1);
  shed.pass(20h - 1s);
  EXPECT_GT(*shed.around.value("time_until_oil_change"), 0);
  shed.pass(1s);
  EXPECT_EQ(shed.around.value("time_until_oil_change"), 0);
}

TEST(Generator, AnOilChangeStartsTheHoursAgain) {
  Shed shed;
  shed.around.set_parameter("oil.changed", to_seconds(shed.around.time - 10 * one_day));
  shed.around.set_parameter("oil.hours", 20 * 3600);
  shed.runs(21h);
  EXPECT_LE(*shed.around.value("time_until_oil_change"), 0);
  shed.around.set_parameter("oil.changed", to_seconds(shed.around.time));
  shed.model->act(shed.around, 0, shed.around.time);
  shed.step();
  EXPECT_EQ(shed.around.value("time_until_oil_change"), 365 * 86400.0);
}

TEST(Generator, SavedInTheMiddleOfARunItGoesOn) {
  Shed shed;
  shed.reads("running", 1);
  shed.pass(12min);
  shed.step();
  const std::string bytes = saved(*shed.model);
  shed.model = generator_kind().make_model();
  ASSERT_NO_FATAL_FAILURE(load_into(*shed.model, bytes));
  shed.pass(8min);
  EXPECT_EQ(shed.became_complete, 1);
}

TEST(Generator, ExplainNamesWhatWasAskedAndWhatIsAssumed) {
  Shed shed;
  shed.runs(22min);
  Explanation out;
  shed.model->explain(shed.around, *generator_kind().quantity("exercise_verdict"), shed.around.time, out);
  ASSERT_FALSE(out.calculation.empty());
  EXPECT_EQ(out.calculation[0], "ran 22.0 min; 20 min asked");
  EXPECT_EQ(out.assumed, std::vector<std::string>{"type: portable (default)"});
  EXPECT_EQ(out.missing, std::vector<std::string>{"load and oil_temperature: not known"});
}

// 70 degC are 158 degF.
TEST(Generator, ExplainTellsTheOilInTheUnitsOfTheSite) {
  Shed shed;
  shed.around.units = DisplayUnits::us;
  shed.reads("oil_temperature", 80);
  shed.runs(22min);
  Explanation out;
  shed.model->explain(shed.around, *generator_kind().quantity("exercise_verdict"), shed.around.time, out);
  ASSERT_EQ(out.calculation.size(), 2U);
  EXPECT_NE(out.calculation[1].find("with the oil at 158 °F or more; 10 min asked"), std::string::npos)
      << out.calculation[1];
}

// Nobody heard it between: three days of silence are no run of three days.
TEST(Generator, TimeThatNobodyCouldHearIsNoRun) {
  Shed shed;
  shed.reads("running", 1);
  shed.pass(5min);
  shed.around.heard = never;  // the link to the broker is down
  shed.step();
  shed.pass(72h);
  shed.around.heard = shed.around.time;
  shed.step();
  shed.pass(1s);
  shed.reads("running", 0);
  shed.pass(5min);
  EXPECT_EQ(shed.became_complete, 0);
  EXPECT_NEAR(shed.around.value("running_time").value_or(0), 301, 1);
}

}  // namespace
}  // namespace overwinter
