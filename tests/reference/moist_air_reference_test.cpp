// Compares moist air, row by row, with tables that independent reference libraries have just computed
// (moist_air_reference.sh): psychrolib 1.1.1 and iapws.
//
// psychrolib's relative humidity is over ice below 0.01 degC, and its dew point is a frost point there
// (ASHRAE convention): converted here before comparing. Its saturation pressures are those of Hyland &
// Wexler 1983, ours of Murphy & Koop 2005: up to 0.04 % apart.
#include <gtest/gtest.h>

#include <charconv>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <map>
#include <sstream>
#include <string>
#include <vector>

#include "rules/physics/moist_air.h"

namespace overwinter {
namespace {

using Cells = std::vector<std::string>;

// The rows of the CSV file that a variable names, without the heading. Empty, and the test failed, if
// the variable is unset or the file has no rows.
std::vector<Cells> rows_of(const char* variable, std::size_t columns) {
  const char* path = std::getenv(variable);
  if (path == nullptr) {
    ADD_FAILURE() << variable << " is not set: run tests/reference/moist_air_reference.sh";
    return {};
  }
  std::ifstream file(path);
  std::string line;
  std::getline(file, line);
  std::vector<Cells> rows;
  while (std::getline(file, line)) {
    Cells cells;
    std::istringstream text(line);
    for (std::string cell; std::getline(text, cell, ',');) cells.push_back(cell);
    EXPECT_EQ(cells.size(), columns) << line;
    if (cells.size() == columns) rows.push_back(cells);
  }
  EXPECT_FALSE(rows.empty()) << path << " holds no rows";
  return rows;
}

double number(const std::string& text) {
  double value = std::nan("");
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  EXPECT_TRUE(error == std::errc() && end == text.data() + text.size()) << "not a number: '" << text << "'";
  return value;
}

// One row of psychrolib's table and our answer to it.
struct Comparison {
  double ours = std::nan("");
  double theirs = 0;
  double tolerance = 0;
};

Comparison compare_state(const std::string& quantity, const Cells& row) {
  const Temperature t(number(row[1]));
  const Share rh = humidity_over_water(t, Share(number(row[2]))).value_or(Share(-1));
  const AbsolutePressure p(number(row[3]));
  Comparison result;
  result.theirs = number(row[5]);
  const auto fill = [&result](const auto& outcome, double tolerance) {
    if (outcome) result.ours = outcome->value;
    result.tolerance = tolerance;
  };
  if (quantity == "vapor_pressure") fill(vapor_pressure(t, rh), 4e-4 * result.theirs);
  if (quantity == "dew_or_frost_point") {
    const bool frost = result.theirs < triple_point_of_water.celsius();
    fill(frost ? frost_point(t, rh) : dew_point(t, rh), 0.01);  // K
  }
  if (quantity == "humidity_ratio") fill(humidity_ratio(t, rh, p), 5e-4 * result.theirs);
  if (quantity == "enthalpy") fill(enthalpy(t, rh, p), 80);    // J/kg
  if (quantity == "wet_bulb") fill(wet_bulb(t, rh, p), 0.01);  // K; psychrolib stops at 0.001 K
  return result;
}

Comparison compare(const std::string& quantity, const Cells& row) {
  const double theirs = number(row[5]);
  if (quantity == "saturation_pressure") {
    const Temperature t(number(row[1]));
    const bool ice = t <= triple_point_of_water;
    const auto ours = ice ? saturation_pressure_over_ice(t) : saturation_pressure(t);
    return {ours ? ours->value : std::nan(""), theirs, 4e-4 * theirs};
  }
  if (quantity == "standard_pressure") {
    const auto ours = standard_pressure(Length(number(row[4])));
    return {ours ? ours->value : std::nan(""), theirs, 1e-6 * theirs};
  }
  return compare_state(quantity, row);
}

TEST(MoistAirReference, AgreesWithPsychrolib) {
  std::map<std::string, int> compared;
  for (const Cells& row : rows_of("OVERWINTER_PSYCHROLIB_CSV", 6)) {
    const std::string& quantity = row[0];
    const Comparison both = compare(quantity, row);
    ++compared[quantity];
    EXPECT_NEAR(both.ours, both.theirs, both.tolerance)
        << quantity << " at " << row[1] << " degC, share " << row[2] << ", " << row[3] << " Pa";
  }
  for (const char* quantity : {"saturation_pressure", "standard_pressure", "vapor_pressure", "dew_or_frost_point",
                               "humidity_ratio", "enthalpy", "wet_bulb"}) {
    EXPECT_GE(compared[quantity], 5) << quantity << " was not compared";
  }
}

// Stated accuracy: 0.009 % over water, 0.031 % over ice.
TEST(MoistAirReference, AgreesWithIapws) {
  std::map<std::string, int> compared;
  for (const Cells& row : rows_of("OVERWINTER_IAPWS_CSV", 3)) {
    const bool ice = row[0] == "ice";
    const Temperature t(number(row[1]));
    const double theirs = number(row[2]);
    const auto ours = ice ? saturation_pressure_over_ice(t) : saturation_pressure(t);
    ASSERT_TRUE(ours.has_value()) << row[1];
    EXPECT_NEAR(ours->value, theirs, (ice ? 3.1e-4 : 0.95e-4) * theirs) << row[0] << " at " << row[1] << " degC";
    ++compared[row[0]];
  }
  EXPECT_GE(compared["ice"], 10);
  EXPECT_GE(compared["water"], 10);
}

}  // namespace
}  // namespace overwinter
