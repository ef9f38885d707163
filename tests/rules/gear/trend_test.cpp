#include "rules/gear/trend.h"

#include <gtest/gtest.h>

#include <chrono>
#include <cmath>

#include "rules/archive.h"
#include "rules/physics/robust_trend.h"

namespace overwinter {
namespace {

Instant at(const char* text) { return *parse_rfc3339(text); }

// America/Winnipeg in winter is UTC-6: 05:00 local is 11:00 UTC.
TimeZone winnipeg() { return {"America/Winnipeg", {{Instant{}, std::chrono::hours(-6)}}}; }

TEST(DailySeries, TakesTheReadingNearestToFiveInTheMorning) {
  DailySeries series;
  const TimeZone zone = winnipeg();
  series.add(at("2026-12-01T10:20:00Z"), 1, zone);
  series.add(at("2026-12-01T11:10:00Z"), 2, zone);
  series.add(at("2026-12-01T12:00:00Z"), 3, zone);
  series.add(at("2026-12-01T20:00:00Z"), 9, zone);
  const auto values = series.values(at("2026-12-01T21:00:00Z"), Instant{}, zone);
  ASSERT_EQ(values.size(), 1U);
  EXPECT_EQ(values[0], (TrendPoint{at("2026-12-01T11:10:00Z"), 2}));
}

TEST(DailySeries, TakesTheMedianOfADayWithoutAMorningOnceItIsOver) {
  DailySeries series;
  const TimeZone zone = winnipeg();
  for (int hour = 15; hour < 20; ++hour) {
    series.add(at("2026-12-01T00:00:00Z") + hour * one_hour, hour == 16 ? 100 : hour, zone);
  }
  EXPECT_TRUE(series.values(at("2026-12-02T05:00:00Z"), Instant{}, zone).empty()) << "the local day is not over";
  const auto values = series.values(at("2026-12-02T06:00:00Z"), Instant{}, zone);
  ASSERT_EQ(values.size(), 1U);
  EXPECT_EQ(values[0].value, 18);  // of 15, 100, 17, 18, 19
}

TEST(DailySeries, ABackDatedMorningReadingEntersItsDay) {
  DailySeries series;
  const TimeZone zone = winnipeg();
  for (int day = 0; day < 5; ++day) series.add(at("2026-12-01T20:00:00Z") + day * one_day, day, zone);
  series.add(at("2026-12-02T11:00:00Z"), 42, zone);
  const auto values = series.values(at("2026-12-06T12:00:00Z"), Instant{}, zone);
  ASSERT_EQ(values.size(), 5U);
  EXPECT_EQ(values[1].value, 42);
  EXPECT_EQ(values[2].value, 2);
}

TEST(DailySeries, KeepsAQuarterOfAYear) {
  DailySeries series;
  for (int day = 0; day < 200; ++day) series.add(at("2026-10-01T05:00:00Z") + day * one_day, day, {});
  const auto values = series.values(at("2027-06-01T00:00:00Z"), Instant{}, {});
  ASSERT_EQ(values.size(), most_trend_values);
  EXPECT_EQ(values.back().value, 199);
}

TEST(DailySeries, ARestartForgetsWhatWasBeforeAndKeepsWhatCameAfter) {
  DailySeries series;
  for (int day = 0; day < 10; ++day) series.add(at("2026-12-01T05:00:00Z") + day * one_day, day, {});
  series.restart(at("2026-12-06T00:00:00Z"));
  series.add(at("2026-12-03T05:00:00Z"), 77, {});
  const auto values = series.values(at("2026-12-12T00:00:00Z"), Instant{}, {});
  ASSERT_EQ(values.size(), 5U);
  EXPECT_EQ(values.front().value, 5);
}

TEST(TrendLine, DoesNotBridgeALongSilence) {
  std::vector<TrendPoint> points;
  for (int day : {0, 1, 2, 12, 13}) points.push_back({at("2026-12-01T05:00:00Z") + day * one_day, 1.0 * day});
  EXPECT_EQ(after_last_gap(points).size(), 2U);
}

// Sen, J. Am. Stat. Assoc. 63 (1968) 1379: the median of pairwise slopes tolerates 29 % of bad points.
TEST(TrendLine, IsNotBentByAFewBadValues) {
  std::vector<TrendPoint> points;
  for (int day = 0; day < 20; ++day) {
    points.push_back({at("2026-12-01T05:00:00Z") + day * one_day, day % 5 == 0 ? 500.0 : 100.0 - day});
  }
  const auto line = trend_line(points, {0.1, 0});
  ASSERT_TRUE(line);
  EXPECT_NEAR(line->slope * 86400, -1, 0.15);
}

// Textbook: sigma sqrt(12 / (n (n^2 - 1))) / spacing for equal spacing: n = 18, sigma 1, a day apart: 0.0454 a day.
TEST(TrendLine, HasTheStandardErrorOfAStraightLine) {
  std::vector<TrendPoint> points;
  for (int day = 0; day < 18; ++day) points.push_back({at("2026-12-01T05:00:00Z") + day * one_day, 3});
  const auto line = trend_line(points, {1, 0});
  ASSERT_TRUE(line);
  EXPECT_EQ(line->slope, 0);
  EXPECT_NEAR(line->standard_error * 86400, 0.0454, 0.0001);
}

// What lasts is no part of what is independent: n = 18, sigma 1 of which 0.6 lasts, and the scatter about the line
// none.
TEST(TrendLine, CountsWhatLastsByItsCorrelation) {
  std::vector<TrendPoint> points;
  std::vector<double> days;
  for (int day = 0; day < 18; ++day) {
    points.push_back({at("2026-12-01T05:00:00Z") + day * one_day, 3});
    days.push_back(day);
  }
  const auto line = trend_line(points, {0.8, 0.6});
  const auto lasting = slope_standard_error_of_lasting(0.6, 3, days);
  ASSERT_TRUE(line && lasting);
  EXPECT_NEAR(line->standard_error * 86400, std::hypot(0.8 * 0.0454, *lasting), 0.0001);
  EXPECT_GT(line->standard_error * 86400, 0.0454);
}

TEST(TrendLine, IsTakenSinceTheSlopeChanged) {
  std::vector<TrendPoint> points;
  for (int day = 0; day < 28; ++day) {
    points.push_back({at("2026-12-01T05:00:00Z") + day * one_day, day > 20 ? 50.0 - (day - 20) : 50.0});
  }
  const auto since = line_since_change(points, {0.1, 0}, 5);
  ASSERT_TRUE(since);
  EXPECT_TRUE(since->clear);
  EXPECT_NEAR(since->line.slope * 86400, -1, 0.01);
  EXPECT_GE(since->line.first, points[20].at);
  EXPECT_LE(since->line.first, points[22].at);
  EXPECT_FALSE(line_since_change({}, {0.1, 0}, 5));
}

TEST(RunningSum, TellsWhatItWasOnAFormerDay) {
  RunningSum sum;
  const Instant begin = at("2026-12-01T00:00:00Z");
  sum.restart(begin, 0);
  for (int hour = 1; hour <= 24 * 30; ++hour) sum.advance(begin + hour * one_hour, hour);
  EXPECT_NEAR(sum.at(begin + 100 * one_hour), 100, 1e-9);
  EXPECT_EQ(sum.at(begin - one_hour), 0);
  EXPECT_EQ(sum.at(begin + 60 * one_day), 720);
}

TEST(DailySeries, IsTheSameAfterARestartOfTheProgram) {
  DailySeries whole;
  DailySeries cut;
  for (int i = 0; i < 300; ++i) {
    const Instant t = at("2026-12-01T00:00:00Z") + i * 100 * one_minute;
    whole.add(t, i % 17, winnipeg());
    cut.add(t, i % 17, winnipeg());
    ArchiveWriter out;
    out(cut);
    const std::string bytes = out.take();
    ArchiveReader in(bytes);
    cut = DailySeries{};
    in(cut);
    ASSERT_TRUE(in.finished());
  }
  const Instant end = at("2027-01-01T00:00:00Z");
  EXPECT_EQ(whole.values(end, Instant{}, winnipeg()), cut.values(end, Instant{}, winnipeg()));
}

}  // namespace
}  // namespace overwinter
