#include "rules/physics/lead_acid_decline.h"

#include <gtest/gtest.h>

#include <cmath>

#include "tests/rules/physics/plain_units.h"

namespace overwinter {
namespace {

Charge ampere_hours(double n) { return Charge(n * 3600); }

struct DeclineRow {
  LeadAcid chemistry;
  double celsius, days, percent_left;
};

// Exponential decay, 10, 4, 2, 2 % in 30 days at 25 degC, doubling per 10 K; independent recomputation.
constexpr DeclineRow decline_rows[] = {
    {LeadAcid::flooded, 25, 30, 90.00},   {LeadAcid::flooded, 0, 120, 92.82},
    {LeadAcid::flooded, -10, 150, 95.45}, {LeadAcid::flooded_calcium, 10, 120, 94.39},
    {LeadAcid::agm, 25, 90, 94.12},       {LeadAcid::agm, -5, 180, 98.50},
    {LeadAcid::gel, 15, 120, 96.04},      {LeadAcid::flooded, 35, 30, 81.00},
};

TEST(LeadAcidSelfDischarge, ReproducesTheRecomputation) {
  for (const auto& row : decline_rows) {
    const auto rate = lead_acid_self_discharge(Temperature(row.celsius), row.chemistry);
    ASSERT_TRUE(rate);
    EXPECT_NEAR(100 * std::exp(-rate->value * row.days * day), row.percent_left, 0.006);
  }
  // k itself, per day.
  EXPECT_NEAR(lead_acid_self_discharge(Temperature(-5), LeadAcid::agm)->value * day, 8.418e-5, 1e-8);
}

TEST(LeadAcidSelfDischarge, MatchesAMakersStorageTimes) {
  // A VRLA maker: 6 months at 20 degC, 3 at 30 degC, 6 weeks at 40 degC: each 10 K halve the time.
  const auto at_20 = lead_acid_self_discharge(Temperature(20), LeadAcid::agm);
  const auto at_30 = lead_acid_self_discharge(Temperature(30), LeadAcid::agm);
  const auto at_40 = lead_acid_self_discharge(Temperature(40), LeadAcid::agm);
  ASSERT_TRUE(at_20 && at_30 && at_40);
  EXPECT_NEAR(*at_30 / *at_20, 2, 1e-9);
  EXPECT_NEAR(*at_40 / *at_30, 2, 1e-9);
}

struct DeclineTimeRow {
  LeadAcid chemistry;
  double celsius, ampere_hours, milliamperes, from_percent, to_percent, days;
};

// Decay with a constant load, independent recomputation.
constexpr DeclineTimeRow decline_times[] = {
    {LeadAcid::flooded, 0, 100, 0, 100, 80, 359.42}, {LeadAcid::flooded, 0, 100, 20, 100, 80, 37.32},
    {LeadAcid::agm, -5, 100, 50, 95, 50, 37.31},     {LeadAcid::flooded_calcium, 10, 80, 5, 90, 75, 79.09},
    {LeadAcid::agm, 20, 200, 0, 100, 80, 468.61},    {LeadAcid::gel, 15, 70, 100, 100, 50, 14.48},
};

TEST(LeadAcidTime, ReproducesTheRecomputation) {
  for (const auto& row : decline_times) {
    const auto time =
        lead_acid_time(Temperature(row.celsius), row.chemistry, ampere_hours(row.ampere_hours),
                       Current(row.milliamperes / 1000), Share(row.from_percent / 100), Share(row.to_percent / 100));
    ASSERT_TRUE(time) << time.error().reason;
    EXPECT_NEAR(time->value / day, row.days, 0.006);
  }
}

TEST(LeadAcidTime, ApproachesTheLoadAloneInTheCold) {
  // 20 mA take 0.48 % a day of 100 Ah: 20 % in 41.67 days.
  const auto time =
      lead_acid_time(Temperature(-40), LeadAcid::agm, ampere_hours(100), Current(0.020), Share(1), Share(0.8));
  ASSERT_TRUE(time);
  EXPECT_NEAR(time->value / day, 41.67, 0.1);
}

TEST(LeadAcidTime, OfTwoStretchesIsTheirSum) {
  const auto time = [](double from, double to) {
    return lead_acid_time(Temperature(5), LeadAcid::flooded, ampere_hours(100), Current(0.01), Share(from), Share(to))
        ->value;
  };
  EXPECT_NEAR(time(1, 0.9) + time(0.9, 0.6), time(1, 0.6), 1e-3);
  EXPECT_EQ(time(0.7, 0.7), 0);
}

TEST(LeadAcidTime, ShortensWithEachMilliampere) {
  double previous = 1e12;
  for (double load = 0; load < 0.5; load += 0.005) {
    const auto time =
        lead_acid_time(Temperature(5), LeadAcid::flooded, ampere_hours(100), Current(load), Share(1), Share(0.5));
    ASSERT_TRUE(time);
    EXPECT_LT(time->value, previous);
    previous = time->value;
  }
}

// 20 mA of 100 Ah are 2e-4 of it in an hour; the second row is the first of the recomputation, without a load.
TEST(LeadAcidTime, KnowsALoadByItsShareOfTheCapacity) {
  const auto days = [](double share_per_hour) {
    return lead_acid_time_by_share(Temperature(0), LeadAcid::flooded, RatePerSecond(share_per_hour / 3600), Share(1),
                                   Share(0.8))
               ->value /
           day;
  };
  EXPECT_NEAR(days(2e-4), 37.32, 0.006);
  EXPECT_NEAR(days(0), 359.42, 0.006);
  EXPECT_FALSE(lead_acid_time_by_share(Temperature(0), LeadAcid::flooded, RatePerSecond(-1e-9), Share(1), Share(0.8)));
}

TEST(LeadAcidTime, HasNoValueForWhatNeverHappens) {
  const auto time = [](double ah, double load, double from, double to) {
    return lead_acid_time(Temperature(5), LeadAcid::agm, ampere_hours(ah), Current(load), Share(from), Share(to))
        .has_value();
  };
  EXPECT_TRUE(time(100, 0.01, 1, 0));
  EXPECT_FALSE(time(100, 0, 1, 0));
  EXPECT_FALSE(time(100, 0.01, 0.5, 0.8));
  EXPECT_FALSE(time(0, 0.01, 1, 0.5));
  EXPECT_FALSE(time(100, -0.01, 1, 0.5));
  EXPECT_FALSE(time(100, 0.01, 1.1, 0.5));
}

TEST(LeadAcidCapacityFactor, FallsBySixTenthsOfAPercentPerKelvin) {
  // IEC 60896, 0.006 per kelvin at slow rates (from memory).
  constexpr double rows[][2] = {{25, 1.0000}, {0, 0.8500}, {-10, 0.7900}, {-20, 0.7300}, {40, 1.0900}};
  for (const auto& [celsius, factor] : rows) {
    EXPECT_NEAR(*lead_acid_capacity_factor(Temperature(celsius)), factor, 1e-9);
  }
  // A maker (Discover) gives -16 % at 0 degC, -10 % at 10 degC.
  EXPECT_NEAR(*lead_acid_capacity_factor(Temperature(0)), 0.84, 0.02);
  EXPECT_NEAR(*lead_acid_capacity_factor(Temperature(10)), 0.90, 0.02);
  EXPECT_FALSE(lead_acid_capacity_factor(Temperature(-26)));
  EXPECT_FALSE(lead_acid_capacity_factor(Temperature(41)));
}

}  // namespace
}  // namespace overwinter
