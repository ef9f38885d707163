#include "rules/physics/tire_verdict.h"

#include <gtest/gtest.h>

#include <vector>

#include "rules/physics/tire_pressure.h"

namespace overwinter {
namespace {

PressureDifference psi_apart(double n) { return PressureDifference(n * pascals_per_psi); }
GaugePressure psig(double n) { return GaugePressure(n * pascals_per_psi); }

struct NoiseRow {
  double sensor_psi, resolution_psi, psig, celsius, kelvin_sigma, noise_psi;
};

// Propagation of errors, independent recomputation.
constexpr NoiseRow noise_rows[] = {
    {0.5, 0, 65, 10, 1, 0.574},     {0.5, 1, 65, 10, 1, 0.642},  {0.5, 1.4503774, 65, 10, 1, 0.710},
    {0.2, 0.1, 65, 10, 0.5, 0.246}, {0.5, 1, 80, -10, 2, 0.923}, {1.0, 1, 35, 5, 1, 1.056},
};

TEST(TireNoise, AddsSensorResolutionAndTemperature) {
  for (const auto& row : noise_rows) {
    const auto noise = tire_noise(psi_apart(row.sensor_psi), psi_apart(row.resolution_psi), psig(row.psig),
                                  standard_atmosphere, Temperature(row.celsius), TemperatureStep(row.kelvin_sigma));
    ASSERT_TRUE(noise);
    EXPECT_NEAR(noise->value / pascals_per_psi, row.noise_psi, 0.0006);
  }
}

TEST(TireNoise, HasNoValueForNegativeErrors) {
  EXPECT_FALSE(
      tire_noise(psi_apart(-1), psi_apart(0), psig(65), standard_atmosphere, Temperature(10), TemperatureStep(1)));
  EXPECT_FALSE(
      tire_noise(psi_apart(1), psi_apart(0), psig(65), standard_atmosphere, Temperature(99), TemperatureStep(1)));
}

struct VerdictRow {
  double now, residual, slope, error;
  std::size_t count;
  double jump, noise, seepage, minimum;
  TireVerdict verdict;
};

TireState state(const VerdictRow& row) {
  return {.pressure = psig(row.now),
          .minimum = psig(row.minimum),
          .residual = psi_apart(row.residual),
          .trend = TireTrend{psi_apart(row.slope), psi_apart(row.error), row.count},
          .seepage_per_week = psi_apart(row.seepage),
          .jump = psi_apart(row.jump),
          .jump_confirmed = true,
          .noise = psi_apart(row.noise)};
}

constexpr VerdictRow cold_tire{55.6, -0.4, -0.05, 0.15, 20, -0.3, 0.64, 0.15, 58, TireVerdict::cold};
constexpr VerdictRow burst_tire{41.0, -17, -2, 0.9, 20, -12.5, 0.64, 0.15, 58, TireVerdict::sudden_loss};

// Worked cases of the order of verdicts; thresholds are common practice, no source.
constexpr VerdictRow verdict_rows[] = {
    cold_tire,
    {57.0, -3.9, -1.05, 0.19, 20, -0.5, 0.64, 0.15, 58, TireVerdict::leaking},
    burst_tire,
    {59.5, -2.6, -0.15, 0.1, 30, 0, 0.64, 0.15, 55, TireVerdict::low},
    {64.8, 0.1, 0.02, 0.15, 25, 0.2, 0.64, 0.15, 58, TireVerdict::fine},
    {60.0, -1.5, -1.2, 0.4, 10, -0.4, 0.64, 0.15, 58, TireVerdict::fine},  // too few readings to call it a leak
};

TEST(TireVerdict, TellsColdFromLeaking) {
  for (const auto& row : verdict_rows) EXPECT_EQ(tire_verdict(state(row)), row.verdict) << row.now << " psi";
}

TEST(TireVerdict, NeverCallsASuddenLossOnOnePacket) {
  auto tire = state(burst_tire);
  tire.jump_confirmed = false;
  EXPECT_NE(tire_verdict(tire), TireVerdict::sudden_loss);
}

TEST(TireVerdict, NeedsAJumpBeyondFiveTimesTheNoise) {
  auto tire = state(cold_tire);
  tire.noise = psi_apart(1);
  tire.jump = psi_apart(-4.9);
  EXPECT_EQ(tire_verdict(tire), TireVerdict::cold);
  tire.jump = psi_apart(-5.1);
  EXPECT_EQ(tire_verdict(tire), TireVerdict::sudden_loss);
}

TEST(TireVerdict, MeasuresAConfirmedJumpByTheNoiseThatItWasFoundWith) {
  auto tire = state(cold_tire);
  tire.jump = psi_apart(-5.2);
  tire.noise = psi_apart(1.4);
  EXPECT_EQ(tire_verdict(tire), TireVerdict::cold);
  tire.noise_at_jump = psi_apart(0.7);
  EXPECT_EQ(tire_verdict(tire), TireVerdict::sudden_loss);
}

// Common practice, no source: each threshold from both sides.
TEST(TireVerdict, CallsALeakOnlyBeyondSeepageNoiseAndAQuarterPsiAWeek) {
  const auto verdict = [](double slope, double error, double seepage) {
    auto tire = state(cold_tire);
    tire.trend = TireTrend{psi_apart(slope), psi_apart(error), 20};
    tire.seepage_per_week = psi_apart(seepage);
    return tire_verdict(tire);
  };
  EXPECT_EQ(verdict(-0.76, 0.2, 0.13), TireVerdict::leaking);  // 0.13 + 3.1 x 0.2 = 0.75
  EXPECT_EQ(verdict(-0.74, 0.2, 0.13), TireVerdict::cold);
  EXPECT_EQ(verdict(-0.26, 0.01, 0), TireVerdict::leaking);
  EXPECT_EQ(verdict(-0.24, 0.01, 0), TireVerdict::cold);
  EXPECT_EQ(verdict(-0.36, 0.01, 0.1), TireVerdict::leaking);
  EXPECT_EQ(verdict(-0.34, 0.01, 0.1), TireVerdict::cold) << "beyond seepage";
}

TEST(TireVerdict, CallsATireLowBeyondTwoPsiOrThreeTimesTheNoise) {
  const auto verdict = [](double residual, double noise) {
    auto tire = state(cold_tire);
    tire.residual = psi_apart(residual);
    tire.noise = psi_apart(noise);
    return tire_verdict(tire);
  };
  EXPECT_EQ(verdict(-2.1, 0.1), TireVerdict::low);
  EXPECT_EQ(verdict(-1.9, 0.1), TireVerdict::cold);
  EXPECT_EQ(verdict(-3.1, 1), TireVerdict::low);
  EXPECT_EQ(verdict(-2.9, 1), TireVerdict::cold);
}

TEST(TireVerdict, NeedsFourteenReadingsForALeak) {
  auto tire = state(cold_tire);
  tire.trend = TireTrend{psi_apart(-2), psi_apart(0.1), 13};
  EXPECT_EQ(tire_verdict(tire), TireVerdict::cold);
  tire.trend->count = 14;
  EXPECT_EQ(tire_verdict(tire), TireVerdict::leaking);
}

TEST(TireVerdict, IsUnknownWithoutAPressureOrAnythingToCompare) {
  EXPECT_EQ(tire_verdict({}), TireVerdict::unknown);
  TireState tire;
  tire.pressure = psig(60);
  EXPECT_EQ(tire_verdict(tire), TireVerdict::unknown);
  tire.minimum = psig(58);
  EXPECT_EQ(tire_verdict(tire), TireVerdict::unknown) << "at what temperature?";
  tire.normalized = psig(61);
  EXPECT_EQ(tire_verdict(tire), TireVerdict::fine);
  tire.fill_told = true;
  EXPECT_EQ(tire_verdict(tire), TireVerdict::unknown) << "it may have lost from its fill";
  tire.trend = TireTrend{psi_apart(0), psi_apart(0.1), 14};
  EXPECT_EQ(tire_verdict(tire), TireVerdict::fine);
}

// A tire of 58 psi at 20 degC reads (58 + 14.70) x 213.15 / 293.15 - 14.70 = 38.2 psi at -60 degC (ideal gas law).
TEST(TireVerdict, LeavesATireBelowItsMinimumToTheColdWhereNoTemperatureIsKnown) {
  TireState tire;
  tire.pressure = psig(50);
  tire.minimum = psig(58);
  EXPECT_EQ(tire_verdict(tire), TireVerdict::unknown);
  tire.pressure = psig(38.3);
  EXPECT_EQ(tire_verdict(tire), TireVerdict::unknown);
  tire.pressure = psig(38.0);
  EXPECT_EQ(tire_verdict(tire), TireVerdict::low) << "no cold explains that";
  tire.pressure = psig(50);
  tire.normalized = psig(59);
  EXPECT_EQ(tire_verdict(tire), TireVerdict::fine);
  tire.normalized = psig(57);
  EXPECT_EQ(tire_verdict(tire), TireVerdict::low);
  tire.residual = psi_apart(0);
  EXPECT_EQ(tire_verdict(tire), TireVerdict::cold);
}

// Nobody told what it was filled to, and its trend is level: a tire that stands on its rim is not well. 5 psi: common
// practice, no source.
TEST(TireVerdict, CallsATireThatIsNearlyFlatLowWhateverElseIsKnown) {
  TireState tire;
  tire.pressure = tire.normalized = psig(6);
  tire.trend = TireTrend{psi_apart(0), psi_apart(0.1), 14};
  EXPECT_EQ(tire_verdict(tire), TireVerdict::fine);
  tire.pressure = tire.normalized = psig(4);
  EXPECT_EQ(tire_verdict(tire), TireVerdict::low);
  tire.minimum = psig(0);
  EXPECT_EQ(tire_verdict(tire), TireVerdict::low);
  tire.fill_told = true;
  EXPECT_EQ(tire_verdict(tire), TireVerdict::low) << "its temperature at the fill is not known";
  tire.minimum.reset();
  tire.normalized.reset();
  EXPECT_EQ(tire_verdict(tire), TireVerdict::low) << "nor its temperature now";
}

HandReading by_hand(double day, double residual_psi) { return {day, psi_apart(residual_psi), psi_apart(2)}; }

TEST(TireVerdictByHand, CallsThreeFallingReadingsOverTwoWeeksALeak) {
  const std::vector<HandReading> falling{by_hand(0, 0), by_hand(7, -1), by_hand(14, -2.5)};
  EXPECT_EQ(tire_verdict_by_hand(falling, psig(60), psig(58)), TireVerdict::leaking);
}

TEST(TireVerdictByHand, WaitsForTheThirdReadingAndTheSecondWeek) {
  const std::vector<HandReading> two{by_hand(0, 0), by_hand(14, -2.5)};
  const std::vector<HandReading> soon{by_hand(0, 0), by_hand(7, -1), by_hand(13, -2.5)};
  const std::vector<HandReading> uneven{by_hand(0, 0), by_hand(7, -2.6), by_hand(14, -2.5)};
  const std::vector<HandReading> first_in_the_sun{{0, psi_apart(0), psi_apart(2.6)}, by_hand(7, -1), by_hand(14, -2.5)};
  const std::vector<HandReading> always_low{by_hand(0, -1.5), by_hand(7, -2), by_hand(14, -2.5)};
  for (const auto& readings : {two, soon, uneven, first_in_the_sun, always_low}) {
    EXPECT_EQ(tire_verdict_by_hand(readings, psig(60), psig(58)), TireVerdict::fine);
  }
}

TEST(TireVerdictByHand, CallsOneStepNoLeak) {
  const std::vector<HandReading> flat{by_hand(0, 0), by_hand(7, -0.2), by_hand(15, -42)};
  const std::vector<HandReading> long_flat{by_hand(0, 0), by_hand(7, -42), by_hand(15, -42.1)};
  EXPECT_EQ(tire_verdict_by_hand(flat, psig(5), psig(58)), TireVerdict::low);
  EXPECT_EQ(tire_verdict_by_hand(long_flat, psig(5), psig(58)), TireVerdict::low);
  // A hole loses the less the less is left: a tire that halves every week, as exp(-t) does, is no step.
  const std::vector<HandReading> halving{by_hand(0, 0), by_hand(7, -26), by_hand(14, -39)};
  EXPECT_EQ(tire_verdict_by_hand(halving, psig(13), psig(58)), TireVerdict::leaking);
}

// A leak that was found stays one when the rest goes at once.
TEST(TireVerdictByHand, CallsALeakOneUntilItIsFlat) {
  std::vector<HandReading> leak{by_hand(0, 0), by_hand(7, -2), by_hand(15, -4)};
  EXPECT_EQ(tire_verdict_by_hand(leak, psig(50), psig(40)), TireVerdict::leaking);
  leak.push_back(by_hand(22, -40));
  EXPECT_EQ(tire_verdict_by_hand(leak, psig(14), psig(40)), TireVerdict::leaking);
}

TEST(TireVerdictByHand, CallsOneReadingFarBelowExpectationLow) {
  EXPECT_EQ(tire_verdict_by_hand(std::vector{by_hand(0, -2.9)}, psig(60), psig(58)), TireVerdict::fine);
  EXPECT_EQ(tire_verdict_by_hand(std::vector{by_hand(0, -2.9)}, psig(57), psig(58)), TireVerdict::cold);
  EXPECT_EQ(tire_verdict_by_hand(std::vector{by_hand(0, -3.1)}, psig(57), psig(58)), TireVerdict::low);
  EXPECT_EQ(tire_verdict_by_hand({}, psig(57), psig(58)), TireVerdict::unknown);
}

// At -30 degC a gauge shows 243.15 / 293.15 = 0.829 of a normalized difference; the limits are those of the gauge.
TEST(TireVerdictByHand, HoldsItsLimitsAgainstWhatTheGaugeShows) {
  const auto cold = [](double day, double residual_psi) {
    return HandReading{day, psi_apart(residual_psi), psi_apart(2), 243.15 / 293.15};
  };
  EXPECT_EQ(tire_verdict_by_hand(std::vector{cold(0, -3.1)}, psig(57), psig(58)), TireVerdict::cold);  // 2.6 psi
  EXPECT_EQ(tire_verdict_by_hand(std::vector{cold(0, -3.7)}, psig(57), psig(58)), TireVerdict::low);   // 3.1 psi
  const std::vector<HandReading> little{cold(0, 0), cold(7, -1), cold(14, -2.3)};                      // 1.9 psi
  EXPECT_EQ(tire_verdict_by_hand(little, psig(60), psig(58)), TireVerdict::fine);
  const std::vector<HandReading> more{cold(0, 0), cold(7, -1), cold(14, -2.5)};  // 2.1 psi
  EXPECT_EQ(tire_verdict_by_hand(more, psig(60), psig(58)), TireVerdict::leaking);
}

}  // namespace
}  // namespace overwinter
