#include "rules/language/window.h"

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "rules/archive.h"

namespace overwinter {
namespace {

constexpr Instant start = Instant(19000 * one_day);

HistoryCall call_of(HistoryFunction function, Span window) {
  HistoryCall call;
  call.function = function;
  call.window = window;
  call.stale_after = 6 * one_hour;
  return call;
}

// A window and its call, told readings at spans after the start.
struct Told {
  Told(HistoryFunction function, Span length) : call(call_of(function, length)) {}
  Cell read(Span after, double value, bool by_hand = false) {
    return window.feed(call, start + after, {value, true, by_hand}, start + after);
  }
  Cell hold(Span after, double value, bool by_hand = false) {
    return window.feed(call, start + after, {value, true, by_hand}, never);
  }
  // Taken before it arrived.
  Cell read_late(Span after, Span taken, double value) {
    return window.feed(call, start + after, {value, true, false}, start + taken);
  }
  Cell lose(Span after) { return window.feed(call, start + after, Cell::unknown(), never); }

  HistoryCall call;
  Window window;
};

TEST(Window, MeanWeighsByTime) {
  Told told(HistoryFunction::mean, 2 * one_hour);
  told.read(Span(0), 2);
  told.read(30 * one_minute, 6);
  EXPECT_DOUBLE_EQ(told.hold(2 * one_hour, 6).value, (0.5 * 2 + 1.5 * 6) / 2);
}

TEST(Window, HalfMustBeCovered) {
  Told told(HistoryFunction::mean, 2 * one_hour);
  told.read(Span(0), 2);
  EXPECT_FALSE(told.hold(one_hour - Span(1), 2).known);
  EXPECT_TRUE(told.hold(one_hour, 2).known);
  told.lose(one_hour);
  EXPECT_TRUE(told.lose(2 * one_hour).known);
  EXPECT_FALSE(told.lose(2 * one_hour + Span(1)).known);
}

TEST(Window, AMeanInBucketsIsExactOnTheirBoundaries) {
  Told told(HistoryFunction::mean, one_day);
  double sum = 0;
  for (int i = 0; i < 24 * 3; ++i) {
    told.read(i * one_hour, i);
    if (i >= 24 * 2) sum += i;
  }
  EXPECT_NEAR(told.hold(3 * one_day, 71).value, sum / 24, 1e-9);
}

TEST(Window, AMeanInBucketsIsOffByAtMostOneBucket) {
  Told told(HistoryFunction::mean, one_day);
  told.read(Span(0), 0);
  for (int i = 1; i <= 3000; ++i) {
    // A ramp of 1 an hour: the exact mean of the last day is now minus half a day.
    const Span at = i * 61 * one_minute / 10;
    const Cell mean = told.read(at, to_seconds(at) / 3600);
    if (at > one_day) {
      ASSERT_NEAR(mean.value, to_seconds(at) / 3600 - 12, 0.25);
    }
  }
}

TEST(Window, KeepsAtMost96Buckets) {
  for (const HistoryFunction function :
       {HistoryFunction::mean, HistoryFunction::slope, HistoryFunction::lowest, HistoryFunction::time_share}) {
    Told told(function, 7 * one_day);
    for (int i = 0; i < 30 * 24 * 12; ++i) {
      told.read(i * 5 * one_minute + Span(17), i % 2);
      ASSERT_LE(told.window.size(), 96U);
    }
  }
}

TEST(Window, ChangeKeepsAtMost121Buckets) {
  Told told(HistoryFunction::change, 7 * one_day);
  for (int i = 0; i < 30 * 24 * 12; ++i) {
    told.read(i * 5 * one_minute + Span(17), i);
    ASSERT_LE(told.window.size(), 121U);
  }
}

TEST(Window, KeepsAtMost512RawReadings) {
  Told told(HistoryFunction::mean, 2 * one_hour);
  for (int i = 0; i < 4 * 3600; ++i) {
    const Cell mean = told.read(i * Span(1000), i);
    ASSERT_LE(told.window.size(), 512U);
    // A ramp of 1 a second: at most one bucket of 75 s off.
    if (i > 7200) {
      ASSERT_NEAR(mean.value, i - 3600 - 0.5, 75);
    }
  }
}

TEST(Window, AGapDoesNotGrowMemory) {
  Told told(HistoryFunction::mean, 92 * one_day);
  told.read(Span(0), 5);
  EXPECT_DOUBLE_EQ(told.read(1000 * one_day, 7).value, 5);
  EXPECT_LE(told.window.size(), 96U);
}

TEST(Window, ExtremesAreThoseOfReadingsInTheWindow) {
  Told lowest(HistoryFunction::lowest, one_day);
  lowest.read(Span(0), -20);
  for (int i = 1; i < 24; ++i) EXPECT_EQ(lowest.read(i * one_hour, i).value, i < 12 ? 0 : -20);
  EXPECT_EQ(lowest.read(one_day, 24).value, 1);
}

TEST(Window, AnExtremeWithoutReadingsIsWhatStood) {
  Told highest(HistoryFunction::highest, one_day);
  highest.read(Span(0), 4);
  EXPECT_EQ(highest.hold(3 * one_day, 4).value, 4);
}

TEST(Window, ALongRunForgetsTheExtreme) {
  Told highest(HistoryFunction::highest, one_day);
  highest.read(Span(0), 100);
  for (int i = 1; i < 23 * 12; ++i) highest.read(i * 5 * one_minute, 1);
  EXPECT_EQ(highest.read(23 * one_hour, 1).value, 100);
  EXPECT_EQ(highest.read(one_day + 15 * one_minute, 1).value, 1);
}

TEST(Window, ChangeLooksFromNowToTheLastReadingBefore) {
  Told change(HistoryFunction::change, 4 * one_hour);
  change.read(Span(0), 50);
  change.read(2 * one_hour, 49);
  EXPECT_FALSE(change.hold(3 * one_hour, 49).known);
  EXPECT_EQ(change.read(4 * one_hour, 47).value, -3);
  EXPECT_EQ(change.read(6 * one_hour, 44).value, -5);
  EXPECT_EQ(change.lose(6 * one_hour + Span(1)), Cell::unknown());
}

TEST(Window, ChangeTakesNoReadingOlderThanAQuarterMore) {
  Told change(HistoryFunction::change, 4 * one_hour);
  change.read(Span(0), 50);
  EXPECT_TRUE(change.hold(5 * one_hour, 50).known);
  EXPECT_FALSE(change.hold(5 * one_hour + Span(1), 50).known);
}

TEST(Window, ChangeTakesAReadingThatIsJustAQuarterOlder) {
  Told change(HistoryFunction::change, 4 * one_hour);
  change.read(Span(0), 50);
  for (int i = 1; i < 60; ++i) change.hold(i * 5 * one_minute, 50);
  EXPECT_EQ(change.read(5 * one_hour, 47).value, -3);
  EXPECT_FALSE(change.read(5 * one_hour + Span(1), 46).known);
}

TEST(Window, ChangeOfARampIsItsRise) {
  Told change(HistoryFunction::change, 10 * one_day);
  for (int i = 0; i < 40 * 24 * 6; ++i) {
    const Span at = i * 10 * one_minute;
    const Cell rise = change.read(at, to_seconds(at) / 3600);
    if (at > 13 * one_day) {
      ASSERT_NEAR(rise.value, 240, 2.5);
    }
  }
}

TEST(Window, TrendsStartAnewWhenTheSourceChanges) {
  for (const HistoryFunction function : {HistoryFunction::change, HistoryFunction::slope}) {
    Told told(function, 8 * one_hour);
    for (int i = 0; i <= 16; ++i) told.read(i * one_hour, i);
    EXPECT_TRUE(told.hold(16 * one_hour, 16).known);
    EXPECT_FALSE(told.read(16 * one_hour + one_minute, 5, true).known);
  }
}

TEST(Window, AMeanGoesOnWhenTheSourceChanges) {
  Told told(HistoryFunction::mean, 8 * one_hour);
  told.read(Span(0), 1);
  EXPECT_TRUE(told.read(8 * one_hour, 5, true).known);
}

// Expected values by hand: the median of the pairs' slopes (Sen 1968).
TEST(Window, SlopeIsTheMedianOfThePairs) {
  Told told(HistoryFunction::slope, 8 * one_hour);
  const double values[] = {12.0, 12.1, 12.2, 17.0, 12.4};
  for (int i = 0; i < 4; ++i) EXPECT_FALSE(told.read(i * one_hour, values[i]).known);
  EXPECT_NEAR(told.read(4 * one_hour, values[4]).value * 3600, 0.1, 1e-12);
}

TEST(Window, SlopeNeedsFiveBucketsThatSpanHalfTheWindow) {
  Told few(HistoryFunction::slope, 8 * one_hour);
  for (int i = 0; i < 4; ++i) few.read(i * 2 * one_hour, i);
  EXPECT_FALSE(few.hold(8 * one_hour, 3).known);
  Told narrow(HistoryFunction::slope, 8 * one_hour);
  for (int i = 0; i <= 7; ++i) narrow.read(i * 30 * one_minute, i);
  EXPECT_FALSE(narrow.hold(8 * one_hour, 7).known);
}

TEST(Window, SlopeOfALongRampIsExact) {
  Told told(HistoryFunction::slope, 30 * one_day);
  for (int i = 0; i < 60 * 24; ++i) {
    const Cell slope = told.read(i * one_hour + Span(333), 3.0 + 0.25 * i);
    if (i > 30 * 24) {
      ASSERT_NEAR(slope.value, 0.25 / 3600, 1e-12);
    }
  }
}

TEST(Window, TimeShareIsOfTheKnownPart) {
  Told told(HistoryFunction::time_share, one_day);
  told.read(Span(0), 1);
  told.read(6 * one_hour, 0);
  told.lose(12 * one_hour);
  EXPECT_DOUBLE_EQ(told.lose(18 * one_hour).value, 0.5);
}

TEST(HeldFor, TurnsTrueAtItsDeadline) {
  Told told(HistoryFunction::held_for, 3 * one_hour);
  EXPECT_EQ(told.window.deadline(told.call), never);
  EXPECT_EQ(told.read(Span(0), 1), Cell::of(0));
  EXPECT_EQ(told.window.deadline(told.call), start + 3 * one_hour);
  EXPECT_EQ(told.hold(3 * one_hour - Span(1), 1), Cell::of(0));
  EXPECT_EQ(told.hold(3 * one_hour, 1), Cell::of(1));
  EXPECT_EQ(told.window.deadline(told.call), never);
}

TEST(HeldFor, FalseBreaksIt) {
  Told told(HistoryFunction::held_for, 3 * one_hour);
  told.read(Span(0), 1);
  EXPECT_EQ(told.read(2 * one_hour, 0), Cell::of(0));
  EXPECT_EQ(told.window.deadline(told.call), never);
  told.read(2 * one_hour, 1);
  EXPECT_EQ(told.window.deadline(told.call), start + 5 * one_hour);
}

TEST(HeldFor, AnUnknownStretchNoLongerThanStaleAfterDoesNotBreakIt) {
  Told told(HistoryFunction::held_for, 8 * one_hour);
  told.read(Span(0), 1);
  EXPECT_EQ(told.lose(one_hour), Cell::unknown());
  EXPECT_EQ(told.window.deadline(told.call), never);
  told.lose(3 * one_hour);
  told.read(7 * one_hour, 1);
  EXPECT_EQ(told.window.deadline(told.call), start + 8 * one_hour);
}

TEST(HeldFor, ALongerUnknownStretchBreaksIt) {
  Told told(HistoryFunction::held_for, 8 * one_hour);
  told.read(Span(0), 1);
  told.lose(one_hour);
  EXPECT_EQ(told.read(7 * one_hour + Span(1), 1), Cell::of(0));
  EXPECT_EQ(told.window.deadline(told.call), start + 15 * one_hour + Span(1));
}

// Nobody knows how long c was true before, so the answer is neither yes nor no until it is known whatever was before.
TEST(HeldFor, OfAWindowThatBeganAnewIsUnknownWhileItCannotBeTold) {
  const auto begun_anew = [] {
    Told told(HistoryFunction::held_for, 3 * one_hour);
    told.window = Window::begun_anew(told.call, start);
    return told;
  };
  Told lasts = begun_anew();
  EXPECT_EQ(lasts.lose(Span(0)), Cell::unknown());
  EXPECT_EQ(lasts.read(one_hour, 1), Cell::unknown());
  EXPECT_EQ(lasts.window.deadline(lasts.call), start + 4 * one_hour);
  ArchiveWriter out;
  out(lasts.window);
  const std::string bytes = out.take();
  lasts.window = Window();
  ArchiveReader in(bytes);
  in(lasts.window);
  EXPECT_TRUE(in.finished());
  EXPECT_EQ(lasts.hold(4 * one_hour - Span(1), 1), Cell::unknown());
  EXPECT_EQ(lasts.hold(4 * one_hour, 1), Cell::of(1));
  EXPECT_EQ(lasts.read(5 * one_hour, 0), Cell::of(0));
  EXPECT_EQ(lasts.read(5 * one_hour, 1), Cell::of(0));

  Told broken = begun_anew();
  EXPECT_EQ(broken.read(Span(0), 1), Cell::unknown());
  EXPECT_EQ(broken.read(one_hour, 0), Cell::of(0));
  EXPECT_EQ(broken.read(one_hour, 1), Cell::of(0)) << "since when is known";
}

TEST(HeldFor, IsUnknownWhileTheConditionIs) {
  Told told(HistoryFunction::held_for, one_hour);
  told.read(Span(0), 1);
  EXPECT_EQ(told.hold(2 * one_hour, 1), Cell::of(1));
  EXPECT_EQ(told.lose(2 * one_hour), Cell::unknown());
  EXPECT_EQ(told.read(2 * one_hour, 1), Cell::of(1));
}

TEST(Window, TimeThatGoesBackIsTakenAsNow) {
  Told told(HistoryFunction::mean, 2 * one_hour);
  told.read(2 * one_hour, 1);
  told.read(one_hour, 2);
  EXPECT_DOUBLE_EQ(told.hold(4 * one_hour, 2).value, 2);
}

RC_GTEST_PROP(Window, GoesOnTheSameAfterArchiving, ()) {
  const auto function = static_cast<HistoryFunction>(*rc::gen::inRange(0, 7));
  const Span window = *rc::gen::element(one_hour, 2 * one_hour, 5 * one_hour, 3 * one_day);
  Told told(function, window);
  Span at{0};
  for (int i = *rc::gen::inRange(0, 200); i > 0; --i) {
    at += Span(*rc::gen::inRange<std::int64_t>(0, 1'000'000));
    const int what = *rc::gen::inRange(0, 10);
    if (what == 0) {
      told.lose(at);
    } else {
      told.read(at, *rc::gen::inRange(0, 2), what == 1);
    }
  }
  ArchiveWriter writer;
  told.window.archive(writer);
  const std::string bytes = writer.take();
  ArchiveReader reader(bytes);
  Told restored(function, window);
  restored.window.archive(reader);
  RC_ASSERT(reader.finished());
  RC_ASSERT(restored.read(at + one_hour, 1) == told.read(at + one_hour, 1));
  RC_ASSERT(restored.window.deadline(restored.call) == told.window.deadline(told.call));
}

// LANGUAGE: true without a break for d up to now. Taken 50 min before it arrived, it has been true for so long.
TEST(Window, HeldForCountsAReadingThatArrivesLateFromWhenItWasTaken) {
  Told held(HistoryFunction::held_for, one_hour);
  held.read(Span(0), 0);
  held.hold(60 * one_minute, 0);
  EXPECT_EQ(held.read_late(70 * one_minute, 20 * one_minute, 1), Cell::of(0));
  EXPECT_EQ(held.window.deadline(held.call), start + 80 * one_minute);
  EXPECT_EQ(held.read(79 * one_minute, 1), Cell::of(0));
  EXPECT_EQ(held.hold(80 * one_minute, 1), Cell::of(1));
  // A break counts from when it was taken; what is true again after it, from then on.
  EXPECT_EQ(held.read_late(120 * one_minute, 100 * one_minute, 0), Cell::of(0));
  EXPECT_EQ(held.read_late(180 * one_minute, 110 * one_minute, 1), Cell::of(0));
  EXPECT_EQ(held.window.deadline(held.call), start + 181 * one_minute);
  EXPECT_EQ(held.hold(181 * one_minute, 1), Cell::of(1));
  // 5 h unknown, and not 7 h: no break.
  held.lose(5 * one_hour);
  EXPECT_EQ(held.read_late(12 * one_hour, 10 * one_hour, 1), Cell::of(1));
}

// LANGUAGE: true without a break for d up to now. A radio that was away tells in one burst that it was so for 36 min,
// hours ago.
TEST(Window, HeldForIsNotTrueInTheMiddleOfABurst) {
  Told held(HistoryFunction::held_for, 4 * one_hour);
  held.read(Span(0), 0);
  held.lose(6 * one_hour);
  const Span now = 17 * one_hour;
  EXPECT_EQ(held.read_late(now, 12 * one_hour, 1), Cell::of(0));
  EXPECT_EQ(held.hold(now, 1), Cell::of(0)) << "another sensor's message between them";
  EXPECT_EQ(held.read_late(now + Span(1), 12 * one_hour + 36 * one_minute, 1), Cell::of(0));
  EXPECT_EQ(held.window.deadline(held.call), start + now + Span(1) + one_minute);
  EXPECT_EQ(held.read_late(now + Span(2), 13 * one_hour, 0), Cell::of(0));
  EXPECT_EQ(held.window.deadline(held.call), never);
  EXPECT_EQ(held.hold(now + 2 * one_hour, 0), Cell::of(0));
  // A burst that says that it was so for long enough is believed at once, and so is one whose last message is of now.
  EXPECT_EQ(held.read_late(20 * one_hour, 15 * one_hour, 1), Cell::of(0));
  EXPECT_EQ(held.read_late(20 * one_hour, 19 * one_hour, 1), Cell::of(1));
  EXPECT_EQ(held.read_late(30 * one_hour, 21 * one_hour, 0), Cell::of(0));
  EXPECT_EQ(held.read_late(30 * one_hour, 22 * one_hour, 1), Cell::of(0));
  EXPECT_EQ(held.read(30 * one_hour, 1), Cell::of(1));
}

// True by the clock while the radio was away already: the burst's first words, of before that, take nothing back.
TEST(Window, HeldForStandsThroughABurstThatDoesNotDenyIt) {
  Told held(HistoryFunction::held_for, 4 * one_hour);
  held.read(Span(0), 1);
  EXPECT_EQ(held.hold(4 * one_hour, 1), Cell::of(1));
  held.lose(6 * one_hour);
  EXPECT_EQ(held.read_late(7 * one_hour, one_hour, 1), Cell::of(1));
  EXPECT_EQ(held.read_late(7 * one_hour, 2 * one_hour, 0), Cell::of(0));
}

TEST(Window, HostileBytesAreRefused) {
  ArchiveWriter writer;
  Told told(HistoryFunction::mean, one_day);
  told.read(Span(0), 1);
  told.window.archive(writer);
  std::string bytes = writer.take();
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    for (const char c : {'\x7F', '\xFF', '\x80'}) {
      std::string hostile = bytes;
      hostile[i] = c;
      ArchiveReader reader(hostile);
      Told restored(HistoryFunction::mean, one_day);
      restored.window.archive(reader);
      restored.read(2 * one_day, 3);  // must not crash
    }
  }
  ArchiveReader cut(std::string_view(bytes).substr(0, bytes.size() - 1));
  Window window;
  window.archive(cut);
  EXPECT_FALSE(cut.ok());
}

// A reading that arrives late was taken before: the one before it held until then, not until now.
TEST(Window, AReadingThatArrivesLateCountsFromWhenItWasTaken) {
  for (const Span d : {2 * one_hour, 4 * one_hour}) {  // raw readings, and buckets
    const Span quarter = d / 4;
    Told mean(HistoryFunction::mean, d);
    mean.read(Span(0), 0);
    for (Span t = quarter / 10; t <= 3 * quarter; t += quarter / 10) mean.hold(t, 0);
    mean.read_late(3 * quarter, 2 * quarter, 8);
    EXPECT_NEAR(mean.hold(d, 8).value, 4, 1e-9);

    Told highest(HistoryFunction::highest, d);
    highest.read(Span(0), 0);
    highest.hold(3 * quarter, 0);
    highest.read_late(3 * quarter, quarter, 8);
    EXPECT_EQ(highest.hold(5 * quarter - Span(1), 8).value, 8);

    Told change(HistoryFunction::change, d);
    change.read(Span(0), 10);
    change.hold(quarter, 10);
    change.read_late(quarter, quarter / 2, 20);
    EXPECT_EQ(change.read(d + quarter / 2, 21).value, 1) << "20 was taken d ago, and arrived later";
  }
}

// Also where the window is shorter than the time between two looks, or than a reading was late.
TEST(Window, WhatStandsIsKnownHoweverLongItStood) {
  for (const Span d : {Span(1000), 2 * one_minute, 2 * one_hour}) {
    Told looked_at(HistoryFunction::mean, d);
    looked_at.read(Span(0), 2);
    Told late(HistoryFunction::mean, d);
    late.read(Span(0), 2);
    late.read_late(5 * one_hour, one_minute, 3);
    for (Span t = 5 * one_hour; t <= 10 * one_hour; t += 5 * one_minute) {
      const Cell looked = looked_at.hold(t, 2);
      ASSERT_TRUE(looked.known) << t.count();
      EXPECT_DOUBLE_EQ(looked.value, 2);
      ASSERT_TRUE(late.hold(t, 3).known) << t.count();
    }
    EXPECT_DOUBLE_EQ(late.hold(11 * one_hour, 3).value, 3);
  }
}

// To the last bit: a share of all the time is 1, and half of the window is half of it.
TEST(Window, TheMeanOfWhatStoodStillIsThatNumber) {
  for (const Span d : {10 * one_minute, one_hour, one_day}) {
    Told temperature(HistoryFunction::mean, d);
    Told share(HistoryFunction::time_share, d);
    Span now{};
    for (int i = 0; i < 500; ++i) {
      now += Span(47'123 + 1'000 * (i % 7));
      const Cell mean = temperature.read(now, 293.25);
      const Cell whole = share.read(now, 1);
      if (!mean.known) continue;
      ASSERT_EQ(mean.value, 293.25);
      ASSERT_EQ(whole.value, 1);
    }
  }
  Told half(HistoryFunction::mean, 2 * one_hour);
  half.read(Span(0), 2);
  half.lose(one_hour);
  half.read(2 * one_hour, 3);
  for (Span t = 2 * one_hour; t <= 3 * one_hour; t += Span(1'001)) ASSERT_TRUE(half.hold(t, 3).known) << t.count();
}

TEST(Window, TheMeanOfWhatStoodStillIsThatNumberAlsoWhenItEnds) {
  constexpr int enough = 2000;  // readings, for more than a day
  for (const Span d : {10 * one_minute, one_hour, one_day}) {
    Told told(HistoryFunction::mean, d);
    Span now{};
    for (int change = 0; change < 6; ++change) {
      for (int i = 0; i < enough; ++i) {
        now += Span(47'123 + 1'000 * (i % 7));
        const Cell mean = told.read(now, 273.15 + change);
        if (change == 0 || i > 0) continue;
        ASSERT_EQ(mean.value, 273.15 + change - 1) << "at its change";
      }
      Told lost = told;
      for (int part = 1; part < 10; ++part) ASSERT_EQ(lost.lose(now + part * d / 20).value, 273.15 + change) << part;
    }
  }
}

// Also at the instant at which what was true, or false, all the time is so no more.
TEST(Window, AShareOfTheTimeIsNoMoreThanAllOfItAndNoLessThanNone) {
  for (const Span d : {10 * one_minute, one_hour, one_day}) {
    Told share(HistoryFunction::time_share, d);
    Span now{};
    for (int i = 0; i < 3000; ++i) {
      now += Span(47'123 + 1'000 * (i % 7));
      const Cell cell = share.read(now, (i / 400) % 2);
      if (!cell.known) continue;
      ASSERT_LE(cell.value, 1) << i;
      ASSERT_GE(cell.value, 0) << i;
    }
  }
}

// However late, not before the reading that came before it, and what is known never exceeds the time that passed.
RC_GTEST_PROP(Window, LateReadingsKeepTheMeanWithinWhatWasRead, ()) {
  Told told(HistoryFunction::mean, *rc::gen::element(2 * one_hour, one_day));
  Span now{};
  double lowest = 1e9, highest = -1e9;
  for (const int minutes : *rc::gen::container<std::vector<int>>(rc::gen::inRange(1, 90))) {
    now += minutes * one_minute;
    const double value = *rc::gen::inRange(-40, 40);
    lowest = std::min(lowest, value);
    highest = std::max(highest, value);
    const Cell mean = told.read_late(now, now - *rc::gen::inRange(0, 200) * one_minute, value);
    if (!mean.known) continue;
    RC_ASSERT(mean.value >= lowest - 1e-6);
    RC_ASSERT(mean.value <= highest + 1e-6);
  }
}

}  // namespace
}  // namespace overwinter
