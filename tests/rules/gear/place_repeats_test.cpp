// What a stuck thermometer would teach a closed camper of itself, and that it does not: by the learned room hour by
// hour, and by the watch of the door through winters drawn by seed.
#include <gtest/gtest.h>

#include <cmath>
#include <optional>

#include "rules/gear/place_room.h"
#include "tests/rules/gear/place_bench.h"
#include "tests/rules/gear/windy_winter.h"

namespace overwinter {
namespace {

// Hours of a camper with a time constant of 6 h, told exactly, in nights that never end.
struct EndlessNight {
  PlaceRoom room;
  RoomHourReadings hour;
  double inside = 0, outside = 0;

  EndlessNight() { hour.night = true; }
  // Readings of the next hour, as the two thermometers have them; nothing: silent.
  void pass(std::optional<double> inside_reads, std::optional<double> outside_reads) {
    hour.end += one_hour;
    hour.inside_start = hour.inside_end;
    hour.outside_start = hour.outside_end;
    hour.inside_end = inside_reads;
    hour.outside_end = outside_reads;
    room.pass_hour(hour, true);
  }
  void live() {
    ++hours_;
    inside += -std::expm1(-1 / 6.0) * (outside - inside);
    outside = -5 + 6 * std::sin(hours_ / 24 * 6.283185) + 3 * std::sin(hours_ / 9);
  }
  // One of the thermometers says for so many hours what it says now.
  void hours_stuck(int count, RepeatedReadings::Of which) {
    const double stuck = which == RepeatedReadings::Of::inside ? inside : outside;
    for (int i = 0; i < count; ++i) {
      live();
      pass(which == RepeatedReadings::Of::inside ? stuck : inside,
           which == RepeatedReadings::Of::outside ? stuck : outside);
    }
  }
  void hours(int count) {
    for (int i = 0; i < count; ++i) {
      live();
      pass(inside, outside);
    }
  }

 private:
  double hours_ = 0;
};

TEST(PlaceRepeats, AStuckThermometerInsideTeachesNothing) {
  EndlessNight camper;
  camper.hours(200);
  const RoomModel before = camper.room.model();
  const auto plus_minus = camper.room.plus_minus(false);
  camper.hours_stuck(18, RepeatedReadings::Of::inside);
  camper.hours(1);  // it jumps to where it should be
  EXPECT_EQ(camper.room.model(), before);
  EXPECT_EQ(camper.room.plus_minus(false), plus_minus);
  EXPECT_TRUE(camper.room.doubtful_since());
  camper.hours(2);
  EXPECT_FALSE(camper.room.doubtful_since());
  EXPECT_GT(camper.room.model().hours, before.hours);
}

TEST(PlaceRepeats, AStuckThermometerOutdoorsTeachesNothing) {
  EndlessNight camper;
  camper.hours(200);
  const RoomModel before = camper.room.model();
  const auto plus_minus = camper.room.plus_minus(false);
  camper.hours_stuck(18, RepeatedReadings::Of::outside);
  camper.hours(1);
  EXPECT_EQ(camper.room.model(), before);
  EXPECT_EQ(camper.room.plus_minus(false), plus_minus);
  camper.hours(2);
  EXPECT_FALSE(camper.room.doubtful_since());
  // The course begins anew where the camper is, not where a number that stood has drawn it.
  ASSERT_TRUE(camper.room.course_at(camper.hour.end));
  EXPECT_NEAR(*camper.room.course_at(camper.hour.end), camper.inside, 0.5);
}

// A sensor that is found to be stuck has its readings taken back: the place's hours are silent from then on. In a
// camper that is not known yet, nothing else would tell.
TEST(PlaceRepeats, WhatAStuckSensorTaughtBeforeItWasFoundIsUndone) {
  EndlessNight camper;
  camper.hours(20);
  const RoomModel before = camper.room.model();
  const double stuck = camper.inside;
  for (int i = 0; i < 23; ++i) {
    camper.live();
    camper.pass(stuck, camper.outside);
  }
  EXPECT_NE(camper.room.model(), before);
  camper.live();
  camper.pass(std::nullopt, camper.outside);
  EXPECT_EQ(camper.room.model(), before);
}

// Hours of rest that are no fault: a coarse thermometer in fog, and one that is silent for a while.
TEST(PlaceRepeats, HoursOfRestAreBelieved) {
  EndlessNight camper;
  camper.hours(200);
  camper.pass(-5.0, -6.0);
  for (int i = 0; i < 12; ++i) camper.pass(-5.5, -6.0);
  camper.pass(std::nullopt, std::nullopt);
  for (int i = 0; i < 3; ++i) camper.pass(-5.5, -6.0);
  EXPECT_FALSE(camper.room.doubtful_since());
}

// False alarms of the door in 60 days in which one of the thermometers sticks every few days for 3 to 40 h.
int false_alarms_while_sticking(std::uint64_t seed, bool of_inside) {
  WindyWinter winter(seed);
  ReportingThermometer inside(seed + 1000, false), outside(seed + 2000, false);
  PlaceBench bench;
  SplitMix random(seed);
  double stuck_from = 24 * 5, stuck_until = stuck_from;
  std::optional<double> in, out;
  int alarms = 0;
  bool before = false;
  while (winter.day() < 60) {
    winter.step();
    bench.advance(5 * one_minute);
    const bool stuck = winter.hour >= stuck_from && winter.hour < stuck_until;
    if (winter.hour >= stuck_until) {
      stuck_from = winter.hour + random.between(48, 144);
      stuck_until = stuck_from + random.between(3, 40);
    }
    const auto out_now = outside.report(winter.hour, winter.outside);
    const auto in_now = inside.report(winter.hour, winter.inside);
    if (out_now && !(stuck && !of_inside)) out = out_now;
    if (in_now && !(stuck && of_inside)) in = in_now;
    if (out_now && out) bench.around.outdoors_reads(PlaceQuantity::temperature, *out, 0.6);
    if (in_now && in) bench.around.read("temperature", *in);
    if (out_now || in_now) bench.step();
    const bool now = bench.around.is_true("door_suspected_open");
    alarms += now && !before;
    before = now;
  }
  return alarms;
}

TEST(PlaceRepeats, AStickingThermometerOpensNoDoor) {
  for (std::uint64_t seed = 1; seed <= 9; ++seed) {
    EXPECT_EQ(false_alarms_while_sticking(seed, true), 0) << "inside, seed " << seed;
    EXPECT_EQ(false_alarms_while_sticking(seed, false), 0) << "outdoors, seed " << seed;
  }
}

}  // namespace
}  // namespace overwinter
