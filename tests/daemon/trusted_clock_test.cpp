// Clocks as boards have them: without a chip, with an empty cell, set by hand, disciplined late. Our own rules; no
// source.
#include "daemon/trusted_clock.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "daemon/time_set_back.h"
#include "tests/daemon/household.h"

namespace overwinter {
namespace {

// A board: its wall clock and what elapsed since it started.
struct Board {
  ClockReading reading;
  ClockReading after(Span elapsed) {
    reading.wall += elapsed;
    reading.steady += elapsed;
    return reading;
  }
  ClockReading stepped(Span by) {
    reading.wall += by;
    return reading;
  }
  ClockReading synchronized_at(std::string_view wall) {
    reading.wall = utc(wall);
    reading.synchronized = true;
    return reading;
  }
};
Board starts(std::string_view wall, bool synchronized = false) {
  return {{utc(wall), 20 * one_minute / 60, synchronized}};
}

TEST(TrustedClockTest, ABoardThatStartsIn1970GoesOnFromTheJournalUntilItIsSynchronized) {
  Board board = starts("1970-01-01T00:00:10Z");
  TrustedClock clock(board.reading, utc("12-10 12:00"));
  TrustedClock::Now now = clock.read(board.after(10 * one_minute));
  EXPECT_FALSE(now.trusted);
  EXPECT_EQ(now.at, utc("12-10 12:10"));
  now = clock.read(board.synchronized_at("12-10 15:00"));
  EXPECT_TRUE(now.trusted);
  EXPECT_EQ(now.at, utc("12-10 15:00"));
  EXPECT_EQ(now.stepped, 170 * one_minute);  // a gap
  EXPECT_FALSE(now.set_back);
}

TEST(TrustedClockTest, WithAnEmptyJournalItStartsNoEarlierThanTheProgram) {
  Board board = starts("1970-01-01T00:00:10Z");
  TrustedClock clock(board.reading, std::nullopt);
  const TrustedClock::Now now = clock.read(board.after(one_minute));
  EXPECT_FALSE(now.trusted);
  EXPECT_GE(now.at, utc("2026-10-01T00:00:00Z"));  // the engine need not live through 56 years
  EXPECT_LT(now.at, utc("2026-10-02T00:00:00Z"));
}

TEST(TrustedClockTest, ABoardThatStartsIn2036IsNotBelievedUntilItIsSynchronized) {
  Board board = starts("2036-02-07T06:28:16Z");  // where NTP's era 0 ends (RFC 5905)
  TrustedClock clock(board.reading, utc("12-10 12:00"));
  EXPECT_FALSE(clock.read(board.after(one_minute)).trusted);
  const TrustedClock::Now now = clock.read(board.synchronized_at("12-10 12:05"));
  EXPECT_TRUE(now.trusted);
  EXPECT_FALSE(now.set_back);
  EXPECT_EQ(now.at, utc("12-10 12:05"));
}

TEST(TrustedClockTest, ABoardOnItsOwnIsBelievedWhenItGoesOnFromTheJournal) {
  for (const char* wall : {"12-10 12:00", "12-17 12:00", "2027-11-01T00:00:00Z"}) {
    Board board = starts(wall);
    EXPECT_TRUE(TrustedClock(board.reading, utc("12-10 12:00")).read(board.after(one_minute)).trusted) << wall;
  }
  Board behind = starts("12-10 11:59");
  EXPECT_FALSE(TrustedClock(behind.reading, utc("12-10 12:00")).read(behind.after(one_minute)).trusted);
}

TEST(TrustedClockTest, AStepEndsTheTrustAndTimeElapsesOn) {
  for (const Span step : {Span(6 * one_hour), Span(-6 * one_hour), Span(6 * one_minute)}) {
    Board board = starts("12-10 12:00");
    TrustedClock clock(board.reading, std::nullopt);
    EXPECT_TRUE(clock.read(board.after(one_minute)).trusted);
    TrustedClock::Now now = clock.read(board.stepped(step));
    EXPECT_FALSE(now.trusted);
    EXPECT_EQ(now.at, utc("12-10 12:01"));
    EXPECT_EQ(now.stepped, Span{});
    now = clock.read(board.after(one_hour));
    EXPECT_EQ(now.at, utc("12-10 13:01"));
    EXPECT_TRUE(clock.read(board.synchronized_at("12-10 13:05")).trusted);
  }
}

TEST(TrustedClockTest, ASmallStepIsTaken) {
  Board board = starts("12-10 12:00");
  TrustedClock clock(board.reading, std::nullopt);
  const TrustedClock::Now now = clock.read(board.stepped(4 * one_minute));
  EXPECT_TRUE(now.trusted);
  EXPECT_EQ(now.at, utc("12-10 12:04"));
  EXPECT_EQ(now.stepped, 4 * one_minute);
}

TEST(TrustedClockTest, ASynchronizedStepForwardIsAGap) {
  Board board = starts("12-10 12:00", true);
  TrustedClock clock(board.reading, std::nullopt);
  const TrustedClock::Now now = clock.read(board.stepped(5 * one_hour));
  EXPECT_TRUE(now.trusted);
  EXPECT_EQ(now.stepped, 5 * one_hour);
}

TEST(TrustedClockTest, ASynchronizedStepBackIsWaitedForAtHalfSpeed) {
  Board board = starts("12-10 12:00", true);
  TrustedClock clock(board.reading, std::nullopt);
  Instant last = clock.read(board.stepped(-2 * one_hour)).at;
  EXPECT_EQ(last, utc("12-10 12:00"));
  for (int minute = 1; minute <= 300; ++minute) {
    const TrustedClock::Now now = clock.read(board.after(one_minute));
    EXPECT_FALSE(now.set_back);
    EXPECT_GT(now.at, last);  // delays and silences go on
    last = now.at;
    EXPECT_EQ(now.at == board.reading.wall, minute >= 240) << minute;
  }
}

TEST(TrustedClockTest, TimeThatLiesDaysBehindIsTakenAndToldOnce) {
  Board board = starts("2036-02-07T06:28:16Z", true);  // the kernel itself was wrong
  TrustedClock clock(board.reading, std::nullopt);
  EXPECT_EQ(clock.read(board.after(one_minute)).at, utc("2036-02-07T06:29:16Z"));
  TrustedClock::Now now = clock.read(board.synchronized_at("12-10 12:00"));
  EXPECT_TRUE(now.set_back);
  EXPECT_EQ(now.at, utc("12-10 12:00"));
  now = clock.read(board.after(one_minute));
  EXPECT_FALSE(now.set_back);
  EXPECT_EQ(now.at, utc("12-10 12:01"));
}

TEST(TrustedClockTest, TheSameAtAStart) {
  Board board = starts("12-10 12:00", true);
  TrustedClock clock(board.reading, utc("2036-02-07T06:28:16Z"));
  const TrustedClock::Now now = clock.read(board.after(one_minute));
  EXPECT_TRUE(now.set_back);
  EXPECT_EQ(now.at, utc("12-10 12:01"));
}

TEST(TrustedClockTest, AMachineThatSleptHasMissedNothing) {
  Board board = starts("12-10 12:00");
  TrustedClock clock(board.reading, std::nullopt);
  const TrustedClock::Now now = clock.read(board.after(9 * one_hour));  // both clocks count while it sleeps
  EXPECT_TRUE(now.trusted);
  EXPECT_EQ(now.stepped, Span{});
  EXPECT_EQ(now.at, utc("12-10 21:00"));
}

RC_GTEST_PROP(TrustedClockTest, NeverGoesBackUnlessItSaysSo, ()) {
  Board board{{utc("12-10 12:00"), one_hour, false}};
  TrustedClock clock(board.reading, std::nullopt);
  Instant last = board.reading.wall;
  const auto steps = *rc::gen::container<std::vector<int>>(rc::gen::inRange(-3'000'000, 3'000'000));
  for (const int step : steps) {
    board.after(Span(std::abs(step % 7919)));
    if (step % 3 == 0) board.stepped(Span(step) * 100);
    board.reading.synchronized = step % 5 != 0;
    const TrustedClock::Now now = clock.read(board.reading);
    RC_ASSERT(now.set_back || now.at >= last);
    last = now.at;
  }
}

// ------------------------------------------------------------------------------------------- the time was set back

constexpr std::string_view clock_site = R"(
site: {id: alder_bend, name: Alder Bend, local_time: America/Winnipeg}
season: {lay_up: 2026-10-31}
places: {camper: {temperature: {topic: camper, unit: degC}}}
digest: {enabled: false}
rules_from: [rules.yaml]
)";
constexpr std::string_view clock_rules = R"(
reminders:
  look_around: {every: 7 d, message: Look around.}
)";

TEST(TimeSetBackTest, AnInputAheadIsLeftOutUnlessAPersonSaidIt) {
  const Instant now = utc("12-10 12:00");
  JournaledInput input{7, utc("12-10 12:00"), JournaledInput::Kind::message, "camper", "3.5", false};
  EXPECT_EQ(as_of(input, now, "overwinter/alder_bend")->at, input.at);
  input.at = utc("2036-02-07T06:28:16Z");
  EXPECT_FALSE(as_of(input, now, "overwinter/alder_bend"));
  input.topic = "overwinter/alder_bend/do/done";
  const auto said = as_of(input, now, "overwinter/alder_bend");
  ASSERT_TRUE(said);
  EXPECT_EQ(said->at, now);
  EXPECT_EQ(said->payload, input.payload);
  EXPECT_EQ(said->number, 7U);
  const auto under_new_root = as_of(input, now, "home/rig");  // the site file was edited since
  ASSERT_TRUE(under_new_root);
  EXPECT_EQ(under_new_root->at, now);
  EXPECT_EQ(under_new_root->topic, "home/rig/do/done");
  input.kind = JournaledInput::Kind::tick;
  EXPECT_FALSE(as_of(input, now, "overwinter/alder_bend"));
}

TEST(TimeSetBackTest, TheCalendarGoesOnAfterABootIntoAWrongYear) {
  const auto plan = plan_of_files(clock_site, clock_rules);
  Household house(plan, "11-30 12:00");
  house.hear("11-30 12:00", "camper", "-3");
  house.say("11-30 13:00", "done", R"({"reminder":"look_around"})");
  house.step(JournaledInput::Kind::message, utc("2036-02-07T06:28:16Z"), "camper", "21");
  house.say("2036-02-07T06:30:00Z", "done", R"({"reminder":"look_around"})");
  // Then the right time comes.
  const Instant right = utc("12-08 12:00");
  Household anew(plan, "11-30 12:00");
  for (const JournaledInput& input : house.inputs) {
    if (const auto counts = as_of(input, right, plan->topic_root)) {
      anew.step(counts->kind, counts->at, counts->topic, counts->payload);
    }
  }
  EXPECT_EQ(anew.world().now, right);
  EXPECT_EQ(anew.world().board[plan->find_slot(plan->find_entity("camper"), "temperature")].at, utc("11-30 12:00"));
  EXPECT_EQ(anew.world().reminders[0].completed, right);  // said in the wrong year, kept
  (void)anew.told();
  anew.wait_until("12-16 00:00");
  EXPECT_EQ(anew.told(), "12-15 14:00 reminder due alder_bend\n");
}

}  // namespace
}  // namespace overwinter
