// A heated garage: when its heating has failed, and how long it has until it freezes.
#include <gtest/gtest.h>

#include <cmath>
#include <cstdint>
#include <numbers>
#include <optional>

#include "tests/rules/gear/place_bench.h"
#include "tests/winter/splitmix.h"

namespace overwinter {
namespace {

constexpr double set_temperature = 7.2;  // degC: 45 degF

// One thermal node and a thermostat with a hysteresis of 0.5 K.
struct Garage {
  PlaceBench bench;
  double time_constant = 20;  // h
  double power = 3;           // K/h
  bool heater_works = true, heats = false;
  double inside = set_temperature, outside = -10;
  double swing = 4;
  double hour = 0;
  double opened = 1;      // how much faster it cools with the door open
  int reports_every = 1;  // x 10 min
  int tens = 0;
  std::optional<double> inside_stuck_at, outdoors_stuck_at;

  Garage() {
    bench.around.set_parameter("heated", 1);
    bench.around.set_parameter("set_temperature", set_temperature);
  }
  void ten_minutes() {
    constexpr double part = 1.0 / 6;
    hour += part;
    if (inside < set_temperature - 0.25) heats = true;
    if (inside > set_temperature + 0.25) heats = false;
    const double out = weather();
    inside += -std::expm1(-part * opened / time_constant) * (out - inside);
    if (heats && heater_works) inside += power * part;
    bench.advance(10 * one_minute);
    if (tens++ % reports_every != 0) return;
    bench.around.outdoors_reads(PlaceQuantity::temperature, outdoors_stuck_at.value_or(out), 0.6);
    bench.around.read("temperature", inside_stuck_at.value_or(std::round(inside * 10) / 10));
    bench.step();
  }
  double weather() const { return outside + swing * std::sin(2 * std::numbers::pi * hour / 24); }
  void hours(double count) {
    const double until = hour + count;
    while (hour < until - 0.01) ten_minutes();
  }
  bool failed() const { return bench.around.is_true("heating_failed"); }
};

TEST(PlaceHeating, AWorkingHeaterNeverCountsAsFailed) {
  for (const double outside : {-25.0, -10.0, 2.0, 12.0}) {
    Garage garage;
    garage.outside = outside;
    for (int i = 0; i < 6 * 24 * 30; ++i) {
      garage.ten_minutes();
      ASSERT_FALSE(garage.failed()) << "outside " << outside << " hour " << garage.hour;
    }
  }
}

TEST(PlaceHeating, AFailureIsSeenHalfAnHourAfterTwoKelvin) {
  for (const double time_constant : {6.0, 12.0, 20.0, 40.0}) {
    Garage garage;
    garage.time_constant = time_constant;
    garage.hours(48);
    garage.heater_works = false;
    double cold_at = 0;
    const double start = garage.hour;
    while (!garage.failed() && garage.hour < start + 48) {
      garage.ten_minutes();
      if (cold_at == 0 && garage.inside < set_temperature - 2) cold_at = garage.hour;
    }
    EXPECT_GE(garage.hour - cold_at, 0.3) << time_constant;
    EXPECT_LE(garage.hour - cold_at, 0.9) << time_constant;
    // It stands as long as the cold does, also when the garage has come down to the weather.
    garage.hours(72);
    EXPECT_TRUE(garage.failed());
    garage.heater_works = true;
    garage.hours(24);
    EXPECT_FALSE(garage.failed());
  }
}

// Nor where a thermometer repeats one number for two days: it says what it did when the heater worked, and the place
// does not cool.
TEST(PlaceHeating, AStuckThermometerIsNoFailureOfTheHeater) {
  for (const bool inside_sticks : {true, false}) {
    for (const double swing : {4.0, 9.0}) {
      Garage garage;
      garage.swing = swing;
      garage.hours(53);
      if (inside_sticks) garage.inside_stuck_at = std::round(garage.inside * 10) / 10;
      if (!inside_sticks) garage.outdoors_stuck_at = garage.weather();
      for (int i = 0; i < 6 * 48; ++i) {
        garage.ten_minutes();
        ASSERT_FALSE(garage.failed()) << garage.hour;
      }
      garage.inside_stuck_at = garage.outdoors_stuck_at = std::nullopt;
      for (int i = 0; i < 6 * 48; ++i) {
        garage.ten_minutes();
        ASSERT_FALSE(garage.failed()) << garage.hour;
      }
    }
  }
}

TEST(PlaceHeating, DrivingACarOutIsNoFailure) {
  Garage garage;
  garage.outside = -20;
  garage.power = 4;
  garage.hours(48);
  garage.opened = 60;
  garage.ten_minutes();
  garage.opened = 1;
  EXPECT_LT(garage.inside, set_temperature - 4);
  for (int i = 0; i < 6 * 6; ++i) {
    garage.ten_minutes();
    ASSERT_FALSE(garage.failed()) << garage.hour << " at " << garage.inside;
  }
}

// Twenty minutes at -20 degC make the room cold for hours; the heater brings it back.
TEST(PlaceHeating, AnOpenDoorIsNoFailureWhetherItIsWatchedOrNot) {
  for (const bool watched : {false, true}) {
    Garage garage;
    garage.outside = -20;
    for (int day = 0; day < 20; ++day) {
      garage.hours(12);
      if (watched) garage.bench.around.read("door_open", 1);
      garage.opened = 25;
      garage.ten_minutes();
      garage.ten_minutes();
      EXPECT_LT(garage.inside, set_temperature - 3);
      garage.opened = 1;
      if (watched) {
        garage.bench.around.read("door_open", 0);
        garage.bench.step();  // the door alone is heard, before the next reading of the thermometer
      }
      for (int i = 0; i < 6 * 12; ++i) {
        garage.ten_minutes();
        ASSERT_FALSE(garage.failed()) << "watched " << watched << " day " << day << " at " << garage.inside;
      }
    }
  }
}

// A heated room at 15 degC whose door nobody watches stands open for 20 minutes a day, at any hour and between any two
// readings of a thermometer with 0.1 K of noise, in cold fronts; its heater is a tenth stronger than the cold asks for,
// or half, so that it warms slowly. One thermal node; all numbers are estimates. How often it was told to have failed.
int cried_over_a_daily_door(std::uint64_t seed, int days, Span every) {
  constexpr double warm = 15, part = 1.0 / 60;  // degC, h
  SplitMix random(seed);
  PlaceBench bench;
  bench.around.set_parameter("heated", 1);
  bench.around.set_parameter("set_temperature", warm);
  const double time_constant = random.between(8, 30);                           // h
  const double power = random.uniform() < 0.5 ? 1.1 : 1.5, holds = power * 41;  // K above the outdoors
  const double open = random.between(15, 60);                                   // times the exchange
  double inside = warm, front = 0, opens = 0;
  bool heats = false, was_failed = false;
  int cried = 0;
  for (int minute = 0; minute < days * 24 * 60; ++minute) {
    const double hour = minute % (24 * 60) * part;
    if (hour == 0) {
      front = 0.75 * front + 3 * random.bell();
      opens = random.between(7, 20);
    }
    const double outside = -12 + front + 4 * std::sin(2 * std::numbers::pi * (hour - 9) / 24);
    const bool is_open = hour >= opens && hour < opens + 20 * part;
    if (inside < warm - 0.5) heats = true;
    if (inside > warm + 0.5) heats = false;
    const double rest = (is_open ? (heats ? holds / open : 0) : heats ? holds : 0) + outside;
    inside += -std::expm1(-part * (is_open ? open : 1) / time_constant) * (rest - inside);
    bench.advance(one_minute);
    if (minute % (every / one_minute) != 0) continue;
    bench.around.outdoors_reads(PlaceQuantity::temperature, outside, 0.6);
    bench.around.read("temperature", std::round((inside + 0.1 * random.bell()) * 10) / 10);
    bench.step();
    const bool failed = bench.around.is_true("heating_failed");
    if (failed && !was_failed) ++cried;
    was_failed = failed;
  }
  return cried;
}

// In 400 days of each: 4 and 0 where it was 34 and 7 without asking whether the room goes on cooling.
TEST(PlaceHeating, ADoorThatIsOpenedDailyIsNoFailureOfASlowHeater) {
  int cried = 0;
  for (std::uint64_t seed = 1; seed <= 12; ++seed) {
    for (const Span every : {5 * one_minute, 10 * one_minute}) cried += cried_over_a_daily_door(seed, 10, every);
  }
  RecordProperty("cried", cried);
  EXPECT_LE(cried, 2) << "in 240 days";
}

// What a thermometer of a heated place says, one reading after the other; when it was first told to have failed, in
// minutes, and whether that was taken back.
struct Told {
  PlaceBench bench;
  std::optional<double> failed_at;
  bool taken_back = false;
  double minute = 0;

  Told() {
    bench.around.set_parameter("heated", 1);
    bench.around.set_parameter("set_temperature", 7);
  }
  void read(double inside, double outside, Span every) {
    bench.around.outdoors_reads(PlaceQuantity::temperature, outside, 0.6);
    bench.around.read("temperature", inside);
    bench.step();
    const bool failed = bench.around.is_true("heating_failed");
    if (failed && !failed_at) failed_at = minute;
    if (failed_at && !failed) taken_back = true;
    bench.advance(every);
    minute += to_seconds(every) / 60;
  }
};

// 45 minutes of an open door with no contact on it: it falls as no closed room does, comes to rest, and warms.
TEST(PlaceHeating, ADoorThatStoodOpenForThreeQuartersOfAnHourIsNoFailure) {
  Told garage;
  for (int i = 0; i < 12; ++i) garage.read(7, -12.9, 10 * one_minute);
  for (const double inside : {6.96, 4.69, 3.80, 3.44, 3.25, 3.60, 4.5, 5.2, 5.7}) {
    garage.read(inside, -12.9, 10 * one_minute);
  }
  EXPECT_FALSE(garage.failed_at) << *garage.failed_at;
}

// A thermometer that tells whole degF or degC, one with noise, and a light camper: none of them looks like a door. Told
// as soon after the 2 K as where no fall is asked about (`after`, measured), or at most 15 min later, and never taken
// back. Free decay (Newton); resolution and noise of cheap thermometers: common practice, no source.
TEST(PlaceHeating, ACoarseOrNoisyThermometerTellsAFailureAsEarly) {
  struct Failure {
    double step, noise, time_constant, outside;  // K, K, h, degC
    int every;                                   // min
    double after;                                // min
  };
  constexpr double fahrenheit = 5.0 / 9;
  constexpr int seeds = 12;
  for (const Failure& f :
       {Failure{fahrenheit, 0.02, 20, -10, 5, 25}, Failure{fahrenheit, 0.3, 20, -10, 5, 48},
        Failure{1, 0.02, 20, -10, 5, 43}, Failure{1, 0.05, 12, -20, 5, 33}, Failure{0.1, 0.17, 30, -5, 5, 61},
        Failure{0.1, 0.17, 30, -5, 1, 76}, Failure{0.1, 0.3, 20, -10, 5, 54}, Failure{0.1, 0.3, 12, -20, 5, 35},
        Failure{0.1, 0.05, 5, -20, 5, 32}, Failure{0.1, 0.05, 5, -20, 15, 37}}) {
    const double cold_at = f.time_constant * 60 * std::log((7 - f.outside) / (5 - f.outside));
    double sum = 0;
    for (std::uint64_t seed = 1; seed <= seeds; ++seed) {
      SplitMix random(seed);
      Told garage;
      for (double hour = -12; hour < 14; hour += f.every / 60.0) {
        const double warm = 7 + 0.3 * std::sin(4 * hour);
        const double inside = hour < 0 ? warm : f.outside + (7 - f.outside) * std::exp(-hour / f.time_constant);
        garage.read(std::round((inside + f.noise * random.bell()) / f.step) * f.step, f.outside, f.every * one_minute);
      }
      ASSERT_TRUE(garage.failed_at) << f.step << " K " << f.noise << " K " << f.time_constant << " h";
      EXPECT_FALSE(garage.taken_back) << f.step << " K " << f.noise << " K " << f.time_constant << " h";
      sum += *garage.failed_at - 12 * 60 - cold_at;
    }
    EXPECT_LE(sum / seeds, f.after + 15) << f.step << " K " << f.noise << " K " << f.time_constant << " h";
  }
}

// A heater that works brings a room with an open door to rest at a lower temperature; what it says is told with noise.
// Ten of each; all numbers are estimates.
TEST(PlaceHeating, ADoorThatStandsOpenForHoursIsNoFailure) {
  struct Door {
    double drop, hours, falls, recovers;  // K, h, time constants in h
    int every;                            // min
  };
  int cried = 0;
  for (const Door& door : {Door{5, 1, 0.01, 0.01, 15}, Door{5, 1, 0.3, 1, 15}, Door{5, 1, 0.3, 1, 5},
                           Door{5, 1, 0.3, 1, 10}, Door{4, 0.75, 0.2, 0.5, 10}, Door{5, 0.5, 0.2, 0.5, 10},
                           Door{3, 2, 0.3, 1, 15}, Door{5, 2, 0.5, 1, 30}, Door{6, 3, 1, 1, 10}}) {
    for (std::uint64_t seed = 1; seed <= 10; ++seed) {
      SplitMix random(seed);
      Told garage;
      for (double hour = -4; hour < door.hours + 6; hour += door.every / 60.0) {
        const double low = door.drop * -std::expm1(-std::clamp(hour, 0.0, door.hours) / door.falls);
        const double off = hour < door.hours ? low : low * std::exp(-(hour - door.hours) / door.recovers);
        garage.read(7 - off + 0.05 * random.bell(), -15 + 4 * std::sin(hour / 24 * 6.283), door.every * one_minute);
      }
      if (garage.failed_at) ++cried;
    }
  }
  RecordProperty("cried", cried);
  EXPECT_LE(cried, 2) << "of 90; 71 where every fall is taken alike";
}

// The warm air of a fan heater is gone in a quarter of an hour, then the walls cool; a light camper cools like no
// garage. Both look like an open door at first.
TEST(PlaceHeating, AFailureIsSeenWhereItBeginsLikeAnOpenDoor) {
  for (const int every : {5, 10, 15}) {
    for (const double slow : {3.0, 8.0, 20.0, 40.0}) {
      for (std::uint64_t seed = 1; seed <= 5; ++seed) {
        SplitMix random(seed);
        Told garage;
        double cold_at = 0;
        for (double hour = -4; hour < 12; hour += every / 60.0) {
          const double air = slow < 4 ? 0 : 2.5, walls = 7 - air;
          const double since = std::max(hour, 0.0);
          const double inside = -15 + (walls + 15) * std::exp(-since / slow) + air * std::exp(-since / 0.25);
          if (inside < 5 && cold_at == 0) cold_at = garage.minute;
          garage.read(std::round((inside + 0.05 * random.bell()) * 10) / 10, -15, every * one_minute);
        }
        ASSERT_TRUE(garage.failed_at) << slow;
        EXPECT_LE(*garage.failed_at - cold_at, 180) << "time constant " << slow << " every " << every;
      }
    }
  }
}

TEST(PlaceHeating, WarmingUpAtTheStartIsNoFailure) {
  Garage garage;
  garage.inside = -5;
  garage.power = 1.2;
  for (int i = 0; i < 6 * 48; ++i) {
    garage.ten_minutes();
    ASSERT_FALSE(garage.failed()) << garage.hour << " at " << garage.inside;
  }
}

TEST(PlaceHeating, AFailureIsSeenWithoutTheOutdoorsToo) {
  PlaceBench bench;
  bench.around.set_parameter("heated", 1);
  bench.around.set_parameter("set_temperature", set_temperature);
  for (int i = 0; i < 24; ++i) {
    bench.around.read("temperature", 5 - 0.05 * i);
    bench.step();
    bench.advance(10 * one_minute);
  }
  EXPECT_TRUE(bench.around.is_true("heating_failed"));
  EXPECT_EQ(bench.around.because("time_until_freezing"), no_outdoor_temperature);
}

// A thermometer that reports every 6, 12 or 24 h: the second report from the cold tells it.
TEST(PlaceHeating, AFailureIsSeenByAThermometerThatSeldomReports) {
  for (const int hours : {4, 6, 12, 24}) {
    Garage garage;
    garage.bench.around.stale_after = 50 * one_hour;
    garage.reports_every = 6 * hours;
    garage.outside = -15;
    garage.time_constant = 15;
    garage.hours(240);
    EXPECT_FALSE(garage.failed()) << hours;
    garage.heater_works = false;
    garage.hours(2 * hours + 6);  // 4 K are lost within 3 h
    EXPECT_TRUE(garage.failed()) << hours;
    garage.hours(72);
    EXPECT_TRUE(garage.failed()) << hours;
    garage.heater_works = true;
    garage.hours(24 + 2 * hours);
    EXPECT_FALSE(garage.failed()) << hours;
  }
}

// A strong heater and one that is just strong enough, as they warm the place up and hold it through wide swings.
TEST(PlaceHeating, SeldomReportsOfAHeaterThatWorksAreNoFailure) {
  for (const int hours : {4, 6, 12, 24}) {
    for (const double outside : {-25.0, -10.0, 2.0, 12.0}) {
      for (const double power : {3.0, 1.2}) {
        if (power < (set_temperature - outside) / 20) continue;  // too weak
        Garage garage;
        garage.bench.around.stale_after = 50 * one_hour;
        garage.reports_every = 6 * hours;
        garage.outside = outside;
        garage.swing = 8;
        garage.power = power;
        garage.inside = std::max(outside, -5.0);
        for (int i = 0; i < 6 * 24 * 10; ++i) {
          garage.ten_minutes();
          ASSERT_FALSE(garage.failed()) << "every " << hours << " h, outside " << outside << ", hour " << garage.hour;
        }
      }
    }
  }
}

TEST(PlaceHeating, ADoorThatStoodOpenBetweenTwoSeldomReportsExplainsTheCold) {
  for (const bool opened : {true, false}) {
    PlaceBench bench;
    bench.around.set_parameter("heated", 1);
    bench.around.set_parameter("set_temperature", set_temperature);
    const auto report = [&](double inside) {
      bench.around.outdoors_reads(PlaceQuantity::temperature, -15, 0.6);
      bench.around.read("temperature", inside);
      bench.step();
    };
    const auto door = [&](double is_open) {
      bench.advance(one_hour);
      bench.around.read("door_open", is_open);
      bench.step();
    };
    door(0);
    report(1);
    if (opened) door(1);
    door(0);
    bench.advance(5 * one_hour);
    report(0);
    EXPECT_EQ(bench.around.is_true("heating_failed"), !opened);
    bench.advance(6 * one_hour);
    report(-1);
    EXPECT_TRUE(bench.around.is_true("heating_failed"));
  }
}

TEST(PlaceHeating, AHandReadingIsJudgedByTheSetTemperature) {
  PlaceBench bench;
  const auto verdict = [&](double celsius) {
    return bench.model->verdict_in_words(bench.around, index_of(PlaceQuantity::temperature),
                                         {celsius, 0.6, bench.around.time, true, true}, {});
  };
  EXPECT_EQ(verdict(3), "");
  bench.around.set_parameter("heated", 1);
  EXPECT_EQ(verdict(3), "");
  bench.around.set_parameter("set_temperature", 7);
  EXPECT_TRUE(verdict(3).starts_with("4.0 °C below its set temperature")) << verdict(3);
  EXPECT_TRUE(verdict(6).starts_with("near its set temperature")) << verdict(6);
  EXPECT_TRUE(verdict(12).starts_with("5.0 °C above its set temperature")) << verdict(12);
}

// Newton's law of cooling: 10 degC in surroundings of -10 degC are at 0 degC after 12 h x ln 2 = 8.318 h.
TEST(PlaceHeating, TellsTheTimeUntilFreezing) {
  PlaceBench bench;
  bench.around.set_parameter("heated", 1);
  bench.around.outdoors_reads(PlaceQuantity::temperature, -10, 0.6);
  bench.around.read("temperature", 10);
  bench.step();
  EXPECT_NEAR(bench.value("time_until_freezing"), 8.3178 * 3600, 2);  // 12 h are assumed
  EXPECT_GT(bench.around.plus_minus("time_until_freezing"), 3600);
  EXPECT_EQ(bench.around.because("heating_failed"), "no set_temperature is given");
  EXPECT_FALSE(bench.model->expected(bench.around, 0, bench.around.time).known());
  bench.advance(one_minute);
  bench.around.outdoors_reads(PlaceQuantity::temperature, 4, 0.6);
  bench.step();
  EXPECT_FALSE(bench.around.value("time_until_freezing"));
  bench.around.set_parameter("heated", 0);
  bench.step();
  EXPECT_EQ(bench.around.because("time_until_freezing"), "the place is not heated");
}

TEST(PlaceHeating, LearnsHowFastItCoolsFromTheFailureItself) {
  Garage garage;
  garage.time_constant = 16;
  garage.swing = 0.5;
  garage.hours(24);
  garage.heater_works = false;
  garage.hours(7);
  ASSERT_GT(garage.inside, 0);
  const double truth = 16 * std::log((garage.inside + 10) / 10);
  EXPECT_NEAR(garage.bench.value("time_until_freezing") / 3600, truth, 0.15 * truth + 0.1);
}

// The heater of a quick garage comes on in every hour: what it cools by in one is a part of what it would without.
TEST(PlaceHeating, AWorkingHeaterDoesNotMakeItSeemSlow) {
  for (const double power : {1.5, 3.0}) {
    Garage garage;
    garage.time_constant = 8;
    garage.power = power;
    garage.outside = -5;
    garage.swing = 3;
    garage.hours(24 * 4);
    const double truth = 8 * std::log((garage.inside - garage.weather()) / -garage.weather());
    EXPECT_LT(garage.bench.value("time_until_freezing") / 3600, 1.6 * truth) << power;  // 12 h are assumed
  }
}

// Outdoors at -5 degC are told to be at -25 degC: it seems to cool so slowly that it would not freeze for a day.
TEST(PlaceHeating, AStuckOutdoorThermometerTeachesNoSlowCooling) {
  Garage garage;
  garage.time_constant = 16;
  garage.outside = -5;
  garage.hours(24);
  garage.outdoors_stuck_at = -25;
  garage.hours(8);
  garage.heater_works = false;
  garage.hours(7);
  garage.outdoors_stuck_at = std::nullopt;
  garage.ten_minutes();
  const double outside = garage.weather();
  ASSERT_GT(garage.inside, 0);
  const double truth = 16 * std::log((garage.inside - outside) / -outside);
  EXPECT_LT(garage.bench.value("time_until_freezing") / 3600, 1.05 * truth);
}

}  // namespace
}  // namespace overwinter
