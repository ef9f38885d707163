#include "rules/physics/lead_acid_state.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <vector>

namespace overwinter {
namespace {

constexpr LeadAcid all[] = {LeadAcid::flooded, LeadAcid::flooded_calcium, LeadAcid::agm, LeadAcid::gel};

struct VoltageRow {
  double volts, celsius, at_25;
};

// 0.2 mV/K a cell (Harned and Hamer 1935, from memory), independent recomputation.
constexpr VoltageRow voltage_rows[] = {
    {12.65, 25, 12.6500}, {12.24, 25, 12.2400}, {12.6, -10, 12.6420},
    {12.1, 0, 12.1300},   {11.89, 25, 11.8900}, {12.8, 35, 12.7880},
};

TEST(LeadAcidVoltage, IsReducedTo25DegreesByTheCellsThermodynamics) {
  for (const auto& row : voltage_rows) {
    const auto v = lead_acid_voltage_at_25_degC(Voltage(row.volts), Temperature(row.celsius));
    ASSERT_TRUE(v);
    EXPECT_NEAR(v->value, row.at_25, 1e-9);
  }
  EXPECT_FALSE(lead_acid_voltage_at_25_degC(Voltage(25), Temperature(25)));
  EXPECT_FALSE(lead_acid_voltage_at_25_degC(Voltage(12), Temperature(-41)));
}

struct ChargeRow {
  LeadAcid chemistry;
  double volts, celsius, percent;
};

// The published tables themselves (flooded: FL1265, attributed to BCI; AGM: Concorde; gel: common practice), and values
// between their lines, independent recomputation.
constexpr ChargeRow charge_rows[] = {
    {LeadAcid::agm, 12.55, 25, 75},
    {LeadAcid::agm, 11.75, 25, 25},
    {LeadAcid::gel, 12.65, 25, 75},
    {LeadAcid::gel, 12.35, 25, 50},
    {LeadAcid::gel, 12.00, 25, 25},
    {LeadAcid::gel, 11.80, 25, 0},
    {LeadAcid::flooded, 12.65, 25, 100},
    {LeadAcid::flooded, 12.45, 25, 75},
    {LeadAcid::flooded, 12.24, 25, 50},
    {LeadAcid::flooded, 12.06, 25, 25},
    {LeadAcid::flooded, 11.89, 25, 0},
    {LeadAcid::flooded, 12.4, 25, 69.05},
    {LeadAcid::flooded_calcium, 12.3, -10, 62.14},
    {LeadAcid::agm, 12.80, 25, 100},
    {LeadAcid::agm, 12.20, 25, 50},
    {LeadAcid::agm, 10.50, 25, 0},
    {LeadAcid::agm, 12.6, 25, 80},
    {LeadAcid::agm, 12.4, -15, 67.71},
    {LeadAcid::gel, 12.85, 25, 100},
    {LeadAcid::gel, 12.5, 25, 62.50},
    {LeadAcid::gel, 12.7, 5, 84.25},
};

TEST(LeadAcidStateOfCharge, FollowsThePublishedTables) {
  for (const auto& row : charge_rows) {
    const auto charge = lead_acid_state_of_charge(Voltage(row.volts), Temperature(row.celsius), row.chemistry);
    ASSERT_TRUE(charge);
    EXPECT_NEAR(charge->value * 100, row.percent, 0.006) << row.volts << " V";
  }
}

// A deep-cycle battery maker's table (FL1277, from memory).
const std::vector<ChargeKnot> deep_cycle{{Voltage(11.51), Share(0.1)}, {Voltage(11.66), Share(0.2)},
                                         {Voltage(11.81), Share(0.3)}, {Voltage(11.96), Share(0.4)},
                                         {Voltage(12.10), Share(0.5)}, {Voltage(12.24), Share(0.6)},
                                         {Voltage(12.37), Share(0.7)}, {Voltage(12.50), Share(0.8)},
                                         {Voltage(12.62), Share(0.9)}, {Voltage(12.73), Share(1.0)}};

TEST(LeadAcidStateOfCharge, FollowsAMakersOwnTable) {
  EXPECT_NEAR(lead_acid_state_of_charge(Voltage(12.55), Temperature(25), deep_cycle)->value, 0.8417, 0.00006);
  EXPECT_NEAR(lead_acid_state_of_charge(Voltage(12.2), Temperature(0), deep_cycle)->value, 0.5929, 0.00006);
  EXPECT_EQ(lead_acid_state_of_charge(Voltage(11.2), Temperature(25), deep_cycle)->value, 0.1);
}

TEST(LeadAcidStateOfCharge, RefusesATableThatDoesNotAscend) {
  const auto refused = [](std::vector<ChargeKnot> table) {
    return !lead_acid_state_of_charge(Voltage(12.2), Temperature(25), table).has_value();
  };
  EXPECT_TRUE(refused({}));
  EXPECT_TRUE(refused({{Voltage(12), Share(0.5)}}));
  EXPECT_TRUE(refused({{Voltage(12), Share(0.5)}, {Voltage(12), Share(0.6)}}));
  EXPECT_TRUE(refused({{Voltage(12), Share(0.5)}, {Voltage(12.5), Share(0.4)}}));
  EXPECT_TRUE(refused({{Voltage(12), Share(0.5)}, {Voltage(12.5), Share(1.4)}}));
  EXPECT_TRUE(refused(std::vector<ChargeKnot>(33)));
}

TEST(LeadAcidStateOfCharge, HasNoValueForABatteryThatIsNotAtRest) {
  for (const auto chemistry : all) {
    EXPECT_TRUE(lead_acid_state_of_charge(Voltage(12.9), Temperature(25), chemistry));
    EXPECT_FALSE(lead_acid_state_of_charge(Voltage(12.91), Temperature(25), chemistry));
    EXPECT_FALSE(lead_acid_state_of_charge(Voltage(0.2), Temperature(25), chemistry));
  }
  EXPECT_FALSE(
      lead_acid_state_of_charge(Voltage(std::numeric_limits<double>::quiet_NaN()), Temperature(25), LeadAcid::agm));
}

TEST(LeadAcidStateOfCharge, NeverFallsAsTheVoltageRises) {
  for (const auto chemistry : all) {
    for (const double t : {-40.0, 0.0, 50.0}) {
      double previous = 0;
      for (double v = 10; v <= 12.9; v += 0.01) {
        const auto charge = lead_acid_state_of_charge(Voltage(v), Temperature(t), chemistry);
        ASSERT_TRUE(charge);
        EXPECT_GE(charge->value, previous);
        EXPECT_LE(charge->value, 1);
        previous = charge->value;
      }
    }
  }
}

TEST(LeadAcidRestedVoltage, IsTheInverseOfTheStateOfCharge) {
  for (const auto chemistry : all) {
    for (double share = 0; share <= 1; share += 0.05) {
      for (const double t : {-30.0, 0.0, 25.0}) {
        const auto volts = lead_acid_rested_voltage(Share(share), Temperature(t), chemistry);
        ASSERT_TRUE(volts);
        const auto back = lead_acid_state_of_charge(*volts, Temperature(t), chemistry);
        ASSERT_TRUE(back);
        EXPECT_NEAR(back->value, share, 1e-9);
      }
    }
  }
  EXPECT_FALSE(lead_acid_rested_voltage(Share(1.01), Temperature(25), LeadAcid::agm));
}

}  // namespace
}  // namespace overwinter
