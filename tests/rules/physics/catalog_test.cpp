// Every function of physics by its name and with its arguments in order, against published values.
#include "rules/physics/catalog.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>
#include <initializer_list>
#include <set>
#include <string>
#include <vector>

#include "rules/quantity/strong.h"
#include "tests/rules/physics/plain_units.h"

namespace overwinter {
namespace {

constexpr double ampere_hour = 3600;
constexpr double atmosphere = 101325;
constexpr double as_of = 20782 * day;  // 2026-11-25T00:00:00Z

const Function* find(std::string_view name) {
  for (const Function& row : physics_functions()) {
    if (row.name == name) return &row;
  }
  return nullptr;
}

double degF(double f) { return (f - 32) / 1.8; }

CallAnswer call(std::string_view name, std::initializer_list<double> arguments) {
  const Function* row = find(name);
  if (row == nullptr) return {0, "there is no such function"};
  if (row->parameter_count != arguments.size()) return {0, "it takes another number of arguments"};
  return row->call(std::data(arguments));
}

double value(std::string_view name, std::initializer_list<double> arguments) {
  const CallAnswer answer = call(name, arguments);
  EXPECT_EQ(answer.no_value, nullptr) << name << ": " << answer.no_value;
  return answer.value;
}

double word(std::string_view function, std::size_t parameter, std::string_view text) {
  const Words words = find(function)->parameters[parameter].type.words;
  const auto at = std::find(words.begin(), words.end(), text);
  EXPECT_NE(at, words.end()) << function << ": " << text;
  return static_cast<double>(at - words.begin());
}

TEST(Catalog, NamesAndOrderOfArgumentsAreTheContract) {
  std::vector<std::string> heads;
  for (const Function& row : physics_functions()) {
    std::string head(row.name);
    for (std::size_t i = 0; i < row.parameter_count; ++i) {
      head += (i == 0 ? "(" : ", ") + std::string(row.parameters[i].name);
    }
    heads.push_back(head + ")");
  }
  const std::vector<std::string> contract = {
      "saturation_pressure(t)",
      "saturation_pressure_over_ice(t)",
      "vapor_pressure(t, rh)",
      "dew_point(t, rh)",
      "frost_point(t, rh)",
      "absolute_humidity(t, rh)",
      "humidity_ratio(t, rh, p)",
      "vapor_pressure_deficit(t, rh)",
      "enthalpy(t, rh, p)",
      "wet_bulb(t, rh, p)",
      "standard_pressure(altitude)",
      "surface_temperature(inside, outside, factor)",
      "mold_critical_humidity(t, class)",
      "mold_time_to_visible(t, rh, class)",
      "deliquescence_humidity(t)",
      "brine_water_activity(fraction, t)",
      "absorber_rate_factor(t, rh)",
      "pipe_freezing_time(inner_diameter, wall, t_start, t_air)",
      "snow_density(depth, day_of_season, class)",
      "snow_load(depth, density)",
      "tire_pressure(fill_pressure, fill_temperature, temperature, fill_station_pressure, station_pressure)",
      "normalized_pressure(pressure, temperature, station_pressure)",
      "tire_seepage(temperature)",
      "date_code_age(code, date)",
      "lead_acid_voltage_at_25_degC(voltage, temperature)",
      "lead_acid_state_of_charge(voltage, temperature, chemistry)",
      "lead_acid_specific_gravity(voltage, temperature)",
      "electrolyte_freezing_point(specific_gravity)",
      "lead_acid_self_discharge(temperature, chemistry)",
      "lead_acid_time(temperature, chemistry, capacity, load, from, to)",
      "lead_acid_capacity_factor(temperature)",
      "charge_voltage(voltage_at_25_degC, temperature, coefficient)",
      "charge_time(capacity, from, to, current, load, efficiency)",
      "propane_vapor_pressure(t)",
      "propane_gauge_pressure(t, station_pressure)",
      "propane_liquid_density(t)",
      "propane_vapor_density(t)",
      "propane_liquid_full(liquid_fraction, t)",
      "gasoline_vapor_pressure(rvp, t)",
      "glycol_freezing_point(volume_fraction)",
      "glycol_burst_point(volume_fraction)",
  };
  EXPECT_EQ(heads, contract);
}

TEST(Catalog, EveryRowStatesItsRangeAndItsSource) {
  std::set<std::string_view> names;
  for (const Function& row : physics_functions()) {
    EXPECT_FALSE(row.range.empty()) << row.name;
    EXPECT_FALSE(row.source.empty()) << row.name;
    EXPECT_NE(row.call, nullptr) << row.name;
    EXPECT_TRUE(names.insert(row.name).second) << row.name << " stands twice";
  }
}

TEST(Catalog, GaugeAndAbsoluteAreKeptApart) {
  EXPECT_EQ(find("tire_pressure")->result.sort, Sort::gauge);
  EXPECT_EQ(find("tire_pressure")->parameters[0].type.sort, Sort::gauge);
  EXPECT_EQ(find("tire_pressure")->parameters[3].type.sort, Sort::absolute);
  EXPECT_EQ(find("propane_vapor_pressure")->result.sort, Sort::absolute);
  EXPECT_EQ(find("propane_gauge_pressure")->result.sort, Sort::gauge);
  EXPECT_EQ(find("gasoline_vapor_pressure")->parameters[0].type.sort, Sort::absolute);
  EXPECT_EQ(find("vapor_pressure_deficit")->result, Type::number(dimension::pressure));
  EXPECT_EQ(find("snow_load")->result, Type::number(dimension::pressure));
}

TEST(Catalog, MoistAirAgreesWithTheFormulationsOfWaterAndSteam) {
  // IAPWS-95, saturation line: 20 degC 2339.3 Pa, 25 degC 3169.9 Pa; IAPWS R14-08(2011), sublimation line: -10 degC
  // 259.9 Pa; triple point 611.657 Pa.
  EXPECT_NEAR(value("saturation_pressure", {20}), 2339.3, 0.5);
  EXPECT_NEAR(value("saturation_pressure", {25}), 3169.9, 0.5);
  EXPECT_NEAR(value("saturation_pressure_over_ice", {-10}), 259.9, 0.1);
  EXPECT_NEAR(value("saturation_pressure_over_ice", {0.01}), 611.657, 0.05);
  EXPECT_NEAR(value("vapor_pressure", {20, 0.5}), 2339.3 / 2, 0.5);
  EXPECT_NEAR(value("vapor_pressure_deficit", {25, 0.25}), 0.75 * 3169.9, 0.5);
  // Density of saturated vapor at 20 degC: 17.3 g/m3 (IAPWS-95: 0.017314 kg/m3).
  EXPECT_NEAR(value("absolute_humidity", {20, 1}), 0.0173, 5e-5);
  // Frost point of air at -18 degC and 80 % over water: Murphy and Koop 2005, eq. 7 and 10 solved by an own script.
  EXPECT_NEAR(value("frost_point", {-18, 0.8}), -18.503, 0.001);
}

TEST(Catalog, PsychrometricsAgreeWithAReferenceLibrary) {
  // psychrolib 1.1.1 (MIT; ASHRAE Handbook Fundamentals 2017), run by us: 20 degC, 50 %, 101325 Pa.
  EXPECT_NEAR(value("dew_point", {20, 0.5}), 9.2724, 0.002);
  EXPECT_NEAR(value("humidity_ratio", {20, 0.5, atmosphere}), 7.26174e-3, 3e-6);
  EXPECT_NEAR(value("enthalpy", {20, 0.5, atmosphere}), 38551.7, 10);
  EXPECT_NEAR(value("wet_bulb", {20, 0.5, atmosphere}), 13.7834, 0.002);
  // The same at 1600 m, so that the pressure matters: 30 degC, 35 %.
  EXPECT_NEAR(value("humidity_ratio", {30, 0.35, 83523.46}), 11.26656e-3, 4e-6);
  EXPECT_NEAR(value("wet_bulb", {30, 0.35, 83523.46}), 18.3589, 0.002);
  // US Standard Atmosphere 1976 (ISO 2533), geopotential altitude: 1000 m 89874.6 Pa, 5000 m 54019.9 Pa.
  EXPECT_NEAR(value("standard_pressure", {1000}), 89874.6, 2);
  EXPECT_NEAR(value("standard_pressure", {5000}), 54019.9, 2);
}

TEST(Catalog, SurfacesAndMoldAgreeWithTheirPapers) {
  // ISO 13788:2012: t_si = t_e + f_Rsi (t_i - t_e).
  EXPECT_NEAR(value("surface_temperature", {5, -5, 0.235}), -2.65, 1e-9);
  // Hukka and Viitanen 1999: the critical humidity at 5 degC is 88 %, at 20 degC 80 %; the two resistant classes of
  // Ojanen et al. 2010 never grow below 85 %.
  const double sensitive = word("mold_critical_humidity", 1, "sensitive");
  EXPECT_NEAR(value("mold_critical_humidity", {5, sensitive}), 0.88016, 1e-5);
  EXPECT_NEAR(value("mold_critical_humidity", {20, sensitive}), 0.80040, 1e-5);
  EXPECT_NEAR(value("mold_critical_humidity", {20, word("mold_critical_humidity", 1, "resistant")}), 0.85, 1e-9);
  // The growth equation of the same papers in hourly steps by an own script: index 3 after 59.5 d on pine.
  const double pine = word("mold_time_to_visible", 2, "very_sensitive");
  EXPECT_NEAR(value("mold_time_to_visible", {20, 0.9, pine}), 59.54 * day, 0.5 * day);
}

TEST(Catalog, CalciumChlorideAgreesWithCondeAndTheHandbook) {
  // CRC Handbook of Chemistry and Physics, humidity over saturated CaCl2: about 29 % at 25 degC, 32 % at 20 degC (from
  // memory); Conde 2004 by an own script: 34.29 % at 20 degC, activity 0.82511 at a fraction of 0.2.
  EXPECT_NEAR(value("deliquescence_humidity", {20}), 0.34292, 5e-5);
  EXPECT_NEAR(value("deliquescence_humidity", {25}), 0.29, 0.03);
  EXPECT_NEAR(value("brine_water_activity", {0.2, 20}), 0.82511, 5e-5);
  EXPECT_NEAR(value("absorber_rate_factor", {20, 0.8}), 1, 1e-9);
  EXPECT_NEAR(value("absorber_rate_factor", {-10, 0.8}), 0.0910, 5e-4);
}

TEST(Catalog, WaterAndSnowAgreeWithTheirPapers) {
  // ASHRAE Fundamentals 2009, chapter 23, eq. 1, and Plank 1913, by an own script: 12.3 mm tube, 1.8 mm wall, 5 degC.
  EXPECT_NEAR(value("pipe_freezing_time", {0.0123, 0.0018, 5, -7}), 4.343 * hour, 0.005 * hour);
  // Sturm et al. 2010, eq. 6 with table 4: 40 cm, 20 days before 1 January, maritime; 80 cm on day 60, alpine.
  EXPECT_NEAR(value("snow_density", {0.4, -20, word("snow_density", 2, "maritime")}), 245.33, 0.01);
  EXPECT_NEAR(value("snow_density", {0.8, 60, word("snow_density", 2, "alpine")}), 327.15, 0.01);
  EXPECT_NEAR(value("snow_load", {0.4, 245.33}), 962.4, 0.1);
  EXPECT_NE(call("snow_density", {0.4, 20.5, 0}).no_value, nullptr);
}

TEST(Catalog, TiresFollowTheGasLawAndTheDateCodeRule) {
  // Ideal gas law with ISO 2533's atmosphere: 65 psi filled at 30 degC and 84 kPa reads 54.849 psi at 0 degC at sea
  // level.
  EXPECT_NEAR(value("tire_pressure", {65 * psi, 30, 0, 84000, atmosphere}) / psi, 54.849, 0.001);
  EXPECT_NEAR(value("normalized_pressure", {33.1 * psi, 5, 99200}) / psi, 35.353, 0.001);
  // Tire Science and Technology 13 (1985): 0.5..1 psi a month at 70 degF in car tires, 1.5..3 % of 32 psi.
  const double month = 30.4375 * day;
  EXPECT_NEAR(value("tire_seepage", {degF(70)}) * month, 0.015, 2e-5);
  EXPECT_NEAR(value("tire_seepage", {0}) * month, 0.00362, 1e-5);
  // 49 CFR 574.5: 3521 is the 35th full week of 2021, from Sunday 29 August; leading zeros count ("0120", "0700").
  EXPECT_NEAR(value("date_code_age", {4e8 + 3521, as_of}) / (365.2425 * day), 5.24, 0.005);
  EXPECT_NEAR(value("date_code_age", {4e8 + 120, as_of}) / (365.2425 * day), 6.89, 0.005);
  EXPECT_NEAR(value("date_code_age", {4e8 + 700, as_of}) / (365.2425 * day), 26.78, 0.005);
  EXPECT_NE(std::string(call("date_code_age", {3e8 + 120, as_of}).no_value).find("before 2000"), std::string::npos);
  EXPECT_NE(call("date_code_age", {2e8 + 35, as_of}).no_value, nullptr);
  EXPECT_NE(call("date_code_age", {5e8 + 12345, as_of}).no_value, nullptr);
}

TEST(Catalog, BatteriesAgreeWithPublishedTables) {
  // Harned and Hamer 1935 (from memory): 0.2 mV/K a cell.
  EXPECT_NEAR(value("lead_acid_voltage_at_25_degC", {12.6, -10}), 12.642, 1e-9);
  // Trade table FL1265; Concorde's AGM table.
  const double flooded = word("lead_acid_state_of_charge", 2, "flooded");
  EXPECT_NEAR(value("lead_acid_state_of_charge", {12.45, 25, flooded}), 0.75, 1e-9);
  EXPECT_NEAR(value("lead_acid_state_of_charge", {12.2, 25, word("lead_acid_state_of_charge", 2, "agm")}), 0.5, 1e-9);
  EXPECT_NEAR(value("lead_acid_state_of_charge", {12.35, 25, word("lead_acid_state_of_charge", 2, "gel")}), 0.5, 1e-9);
  // Battery handbooks (from memory): V/6 - 0.845.
  EXPECT_NEAR(value("lead_acid_specific_gravity", {12.6, -10}), 1.2620, 5e-5);
  // US Army TM 5-1185, table III: +5 degF at 1.150, -16 degF at 1.200.
  EXPECT_NEAR(value("electrolyte_freezing_point", {1.150}), degF(5), 0.1);
  EXPECT_NEAR(value("electrolyte_freezing_point", {1.200}), degF(-16), 0.6);
  // 10 % in 30 days at 25 degC (antimony), a quarter of that rate at 5 degC.
  EXPECT_NEAR(value("lead_acid_self_discharge", {25, flooded}) * day, 3.512e-3, 1e-6);
  EXPECT_NEAR(value("lead_acid_self_discharge", {5, flooded}) * day, 3.512e-3 / 4, 1e-6);
  // 100 Ah flooded at 0 degC with 20 mA, from 100 % to 80 %: 37.32 d; the equation integrated by an own script.
  const double antimony = word("lead_acid_time", 1, "flooded");
  EXPECT_NEAR(value("lead_acid_time", {0, antimony, 100 * ampere_hour, 0.02, 1, 0.8}) / day, 37.32, 0.01);
  // IEC 60896 (from memory): 0.006 per kelvin; a maker says -16 % at 0 degC.
  EXPECT_NEAR(value("lead_acid_capacity_factor", {0}), 0.84, 0.02);
  // Trojan: 28 mV a cell for 10 degF; their example 14.60 V at 80 degF becomes 14.77 V at 70 degF.
  const double trojan = -0.028 / (10 / 1.8);
  EXPECT_NEAR(value("charge_voltage", {14.6, 25, trojan}), 14.6, 1e-9);
  EXPECT_NEAR(value("charge_voltage", {14.6, degF(70), trojan}) - value("charge_voltage", {14.6, degF(80), trojan}),
              0.17, 0.005);
  // Common practice, no source: 100 Ah from 60 % to 95 % with 2 A, 0.3 A of load, efficiency 0.95: 21.67 h.
  EXPECT_NEAR(value("charge_time", {100 * ampere_hour, 0.6, 0.95, 2, 0.3, 0.95}) / hour, 21.67, 0.01);
}

TEST(Catalog, PropaneAndFuelAgreeWithPublishedTables) {
  // Lemmon, McLinden and Wagner 2009: normal boiling point -42.114 degC; at 25 degC 952.1 kPa, 492.36 and 20.616 kg/m3.
  EXPECT_NEAR(value("propane_vapor_pressure", {-42.114}), atmosphere, 20);
  EXPECT_NEAR(value("propane_vapor_pressure", {25}), 952100, 300);
  EXPECT_NEAR(value("propane_gauge_pressure", {25, 90000}), 862100, 300);
  EXPECT_NEAR(value("propane_liquid_density", {25}), 492.36, 0.05);
  EXPECT_NEAR(value("propane_vapor_density", {25}), 20.616, 0.01);
  // Mass balance with those densities: 90 % at -20 degC fills up at 20.33 degC.
  EXPECT_NEAR(value("propane_liquid_full", {0.9, -20}), 20.33, 0.02);
  // EPA AP-42 chapter 7.1 (from memory): gasoline RVP 10 at 60 degF 5.2 psia, RVP 9 at 40 degF about 3.1..3.3.
  EXPECT_NEAR(value("gasoline_vapor_pressure", {10 * psi, degF(60)}) / psi, 5.2, 0.05);
  EXPECT_NEAR(value("gasoline_vapor_pressure", {9 * psi, degF(40)}) / psi, 3.062, 0.001);
  // Melinder 2010: 40 % by volume (40.9 % by mass) -21.4 degC. Dow guide (from memory): burst protection to -60 degF
  // at 35 %.
  EXPECT_NEAR(value("glycol_freezing_point", {0.4}), -21.42, 0.01);
  EXPECT_NEAR(value("glycol_burst_point", {0.35}), degF(-60), 1e-6);
}

TEST(Catalog, SharesOfAWholeAreToldInPercent) {
  // A bare `60` for one of these is refused; a specific gravity or a count is a number of its own.
  const std::set<std::string_view> of_a_whole = {"rh",         "fraction",        "from",           "to",
                                                 "efficiency", "liquid_fraction", "volume_fraction"};
  for (const Function& row : physics_functions()) {
    for (std::size_t i = 0; i < row.parameter_count; ++i) {
      const FunctionParameter& parameter = row.parameters[i];
      EXPECT_EQ(parameter.shown == Shown::percent, of_a_whole.contains(parameter.name))
          << row.name << ": " << parameter.name;
    }
  }
}

TEST(Catalog, SharesOutOfRangeAreRefusedWithAReason) {
  EXPECT_NE(call("dew_point", {20, 1.01}).no_value, nullptr);
  EXPECT_NE(call("dew_point", {20, -0.01}).no_value, nullptr);
  EXPECT_NE(call("surface_temperature", {5, -5, 1.5}).no_value, nullptr);
  EXPECT_NE(call("brine_water_activity", {0.9, 20}).no_value, nullptr);
  EXPECT_NE(call("propane_liquid_full", {1.2, 0}).no_value, nullptr);
  EXPECT_NE(call("glycol_freezing_point", {0.7}).no_value, nullptr);
  EXPECT_NE(call("lead_acid_time", {0, 0, 360000, 0.02, 0.5, 0.8}).no_value, nullptr);
  EXPECT_NE(call("charge_time", {360000, 0.5, 1.2, 2, 0, 0.85}).no_value, nullptr);
  EXPECT_NE(call("charge_time", {360000, 0.5, 1, 2, 0, 1.2}).no_value, nullptr);
}

double any_argument(const Type& type) {
  if (type.sort == Sort::word && !type.words.empty()) {
    return static_cast<double>(*rc::gen::inRange<std::size_t>(0, type.words.size()));
  }
  const double scale = std::pow(10.0, *rc::gen::inRange(-6, 16));
  return scale * static_cast<double>(*rc::gen::inRange(-1000000, 1000000)) / 1e6;
}

RC_GTEST_PROP(CatalogProperty, EveryCallAnswersAFiniteNumberOrAReason, ()) {
  for (const Function& row : physics_functions()) {
    std::vector<double> arguments;
    for (std::size_t i = 0; i < row.parameter_count; ++i) arguments.push_back(any_argument(row.parameters[i].type));
    const CallAnswer answer = row.call(arguments.data());
    RC_ASSERT(std::isfinite(answer.value));
    if (answer.no_value != nullptr) RC_ASSERT(!std::string_view(answer.no_value).empty());
  }
}

}  // namespace
}  // namespace overwinter
