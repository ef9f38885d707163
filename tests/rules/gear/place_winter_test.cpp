// A closed camper through whole winters: what must stay silent in a clean one, and what must speak up in a bad one.
#include "tests/rules/gear/place_winter.h"

#include <gtest/gtest.h>

#include <cmath>
#include <cstdlib>
#include <numbers>
#include <string_view>

#include "tests/rules/gear/place_bench.h"

namespace overwinter {
namespace {

struct Season {
  PlaceBench bench;
  MadeUpWinter winter;
  bool sun_is_measured = false;

  void half_hour() {
    winter.step();
    bench.advance(30 * one_minute);
    bench.outdoors(winter.measured(winter.outside, 0.1, 0.1),
                   std::min(winter.measured(winter.outside_humidity, 0.01, 0.01), 1.0));
    if (sun_is_measured) bench.around.outdoors_reads(PlaceQuantity::irradiance, winter.sun, 20);
    bench.inside(winter.measured(winter.inside, 0.1, 0.1),
                 std::min(winter.measured(winter.inside_humidity, 0.01, 0.01), 1.0));
  }
  void days(double count) {
    const double until = winter.day() + count;
    while (winter.day() < until) half_hour();
  }
  Expectation expected() const {
    return bench.model->expected(bench.around, index_of(PlaceQuantity::temperature), bench.around.time, false);
  }
  bool dark() const {
    const int hour = local_hour(bench.around.time, bench.around.time_zone);
    return hour >= 23 || hour < 3;
  }
};

struct Tally {
  int wet = 0, door = 0, unknown_expected = 0, expected = 0, outside_band = 0, widest_night = 0;
};

Tally whole_winter(Season& season) {
  Tally tally;
  while (season.winter.day() < 160) {
    season.half_hour();
    tally.wet += season.bench.around.is_true("wet_source_suspected");
    tally.door += season.bench.around.is_true("door_suspected_open");
    if (season.winter.day() < 20) continue;
    const Expectation e = season.expected();
    if (!e.known()) {
      ++tally.unknown_expected;
      continue;
    }
    ++tally.expected;
    tally.outside_band += std::abs(season.winter.inside - e.value) > 1.5 * e.plus_minus;
  }
  return tally;
}

TEST(PlaceWinter, CleanWintersTripNothing) {
  for (const double mean : {-12.0, -4.0, 3.0}) {
    for (const double time_constant : {3.0, 5.0, 8.0}) {
      for (const bool sun : {false, true}) {
        Season season;
        season.winter.mean = mean;
        season.winter.time_constant = time_constant;
        season.sun_is_measured = sun;
        const Tally tally = whole_winter(season);
        SCOPED_TRACE(testing::Message() << "mean " << mean << " time constant " << time_constant << " sun " << sun);
        EXPECT_EQ(tally.wet, 0);
        EXPECT_EQ(tally.door, 0);
        EXPECT_LT(tally.unknown_expected, 20);
        EXPECT_LT(tally.outside_band, tally.expected / 20);
        EXPECT_FALSE(season.bench.around.is_true("heating_failed"));
      }
    }
  }
}

// Where the sun is measured, the learned room comes back close to the one that made the readings.
TEST(PlaceWinter, LearnsTheCampersTimeConstant) {
  Season season;
  season.sun_is_measured = true;
  season.days(30);
  Explanation e;
  season.bench.model->explain(season.bench.around, index_of(PlaceQuantity::temperature), season.bench.around.time, e);
  ASSERT_FALSE(e.calculation.empty());
  const Expectation expected = season.expected();
  ASSERT_TRUE(expected.known());
  EXPECT_LT(expected.plus_minus, 3);
  EXPECT_NEAR(expected.value, season.winter.inside, expected.plus_minus);
  EXPECT_TRUE(e.calculation[0].find("constant of 4.") != std::string::npos ||
              e.calculation[0].find("constant of 5.") != std::string::npos)
      << e.calculation[0];
}

// A thermometer that reports once an hour, at whatever minute, teaches the time constant of the camper: 6 h.
TEST(PlaceWinter, HourlyReadingsTeachTheTimeConstantAtAnyMinute) {
  for (const int at : {0, 5, 6, 30, 59}) {
    PlaceBench bench;
    double inside = 0;
    for (int minute = 0; minute < 20 * 24 * 60; ++minute) {
      const double hour = minute / 60.0;
      const double outside = -5 + 6 * std::sin(hour / 24 * 2 * std::numbers::pi) + 4 * std::sin(hour / 15);
      inside += -std::expm1(-1 / 360.0) * (outside - inside);
      bench.advance(one_minute);
      if (minute % 60 == 37) bench.around.outdoors_reads(PlaceQuantity::temperature, outside, 0.6);
      if (minute % 60 == at) bench.around.read("temperature", std::round(inside * 10) / 10);
      if (minute % 60 == at) bench.step();
    }
    Explanation e;
    bench.model->explain(bench.around, index_of(PlaceQuantity::temperature), bench.around.time, e);
    ASSERT_FALSE(e.calculation.empty());
    const std::string_view told = e.calculation[0];
    const auto number = told.find("constant of ");
    ASSERT_NE(number, std::string_view::npos) << told;
    EXPECT_NEAR(std::atof(told.substr(number + 12).data()), 6, 0.6) << "at minute " << at << ": " << told;
  }
}

TEST(PlaceWinter, ExpectedIsUnknownUntilTheCamperIsKnown) {
  Season season;
  season.days(1);
  const Expectation first = season.expected();
  EXPECT_FALSE(first.known());
  EXPECT_NE(std::string(first.unknown_because).find("24 hours"), std::string::npos);
  season.days(13);
  EXPECT_TRUE(season.expected().known());
  // At an instant some hours back too, but not beyond two days.
  EXPECT_TRUE(
      season.bench.model->expected(season.bench.around, 0, season.bench.around.time - 5 * one_hour, false).known());
  EXPECT_FALSE(
      season.bench.model->expected(season.bench.around, 0, season.bench.around.time - 3 * one_day, false).known());
}

TEST(PlaceWinter, AWetFloorIsSuspectedWithinDays) {
  for (const double mean : {-4.0, 3.0}) {
    Season season;
    season.winter.mean = mean;
    season.days(20);
    season.winter.wet_floor = true;
    double suspected_after = 99;
    for (int i = 0; i < 48 * 21 && suspected_after > 90; ++i) {
      season.half_hour();
      if (season.bench.around.is_true("wet_source_suspected")) suspected_after = season.winter.day() - 20;
    }
    EXPECT_LT(suspected_after, 7) << "mean " << mean;
    EXPECT_GT(suspected_after, 1);
    EXPECT_TRUE(season.bench.around.is_true("wet_source_suspected"));
    season.winter.wet_floor = false;
    season.winter.wood_humidity = 0.75;  // aired and dried out
    season.days(10);
    EXPECT_FALSE(season.bench.around.is_true("wet_source_suspected"));
  }
}

TEST(PlaceWinter, ADoorLeftOpenIsSuspectedWhileTheOutdoorsDiffer) {
  for (const bool sun : {false, true}) {
    Season season;
    season.sun_is_measured = sun;
    season.days(30);
    while (!season.dark() || std::abs(season.winter.outside - season.winter.inside) < 6.5) season.half_hour();
    season.winter.time_constant = 0.4;
    season.winter.air_changes = 20;
    EXPECT_FALSE(season.bench.around.is_true("door_suspected_open"));
    int halves = 0;
    while (!season.bench.around.is_true("door_suspected_open") && halves < 48) {
      season.half_hour();
      ++halves;
    }
    EXPECT_LT(halves, 10) << "sun measured: " << sun;
    // Shut again, it is seen to be so once the outdoors move away.
    season.winter.time_constant = 5;
    season.winter.air_changes = 0.4;
    season.days(7);
    EXPECT_FALSE(season.bench.around.is_true("door_suspected_open"));
  }
}

TEST(PlaceWinter, ARestartAtAnyStepChangesNothing) {
  Season straight, restarted;
  restarted.bench.restart_at_each_step = true;
  for (int i = 0; i < 48 * 40; ++i) {
    if (i == 48 * 25) straight.winter.wet_floor = restarted.winter.wet_floor = true;
    if (i == 48 * 30) straight.winter.time_constant = restarted.winter.time_constant = 0.4;
    straight.half_hour();
    restarted.half_hour();
    ASSERT_EQ(straight.bench.bytes(), restarted.bench.bytes()) << i;
    const auto &a = straight.bench.around.answers(), &b = restarted.bench.around.answers();
    ASSERT_EQ(a.size(), b.size());
    for (const auto& [index, answer] : a) {
      ASSERT_EQ(answer.value, b.at(index).value) << place_kind().quantities[index].name << " at " << i;
      ASSERT_EQ(answer.plus_minus, b.at(index).plus_minus) << place_kind().quantities[index].name << " at " << i;
    }
  }
}

TEST(PlaceWinter, BrokenBytesAreRefusedNotTrusted) {
  Season season;
  season.days(10);
  const std::string saved = season.bench.bytes();
  for (std::size_t length = 0; length < saved.size(); length += 7) {
    PlaceModel model;
    ArchiveReader reader(std::string_view(saved).substr(0, length));
    model.load(reader);
    EXPECT_FALSE(reader.ok());
  }
}

}  // namespace
}  // namespace overwinter
