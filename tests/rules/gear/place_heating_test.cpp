// A heated garage: when its heating has failed, and how long it has until it freezes.
#include <gtest/gtest.h>

#include <cmath>
#include <cstdint>
#include <optional>

#include "tests/rules/gear/heated_garage.h"
#include "tests/winter/splitmix.h"

namespace overwinter {
namespace {

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
      ThermometerTold garage;
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
  EXPECT_FALSE(bench.model->expected(bench.around, 0, bench.around.time, false).known());
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
