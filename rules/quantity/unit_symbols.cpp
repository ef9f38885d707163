// The table of unit symbols. Compounds (A.h, m^3, g/m^3, mV/K) need no row.
#include <array>

#include "rules/quantity/unit.h"

namespace overwinter {
namespace {

constexpr std::string_view si = "SI Brochure, 9th edition (BIPM, 2019)";
constexpr std::string_view nist = "NIST Special Publication 811 (2008), appendix B";
constexpr std::string_view nist_44 = "NIST Handbook 44, appendix C";
constexpr std::string_view calendar_months = "mean of the Gregorian calendar's leap cycle of four years: 365.25 d / 12";

constexpr double pound = 0.45359237;                          // kg, exact
constexpr double inch = 0.0254;                               // m, exact
constexpr double foot = 12 * inch;                            // m, exact
constexpr double pound_force = pound * 9.80665;               // N, exact
constexpr double inch_of_mercury = 13595.1 * 9.80665 * inch;  // Pa: conventional mercury and gravity
constexpr double us_gallon = 231 * inch * inch * inch;        // m3, exact
constexpr double day = 86400;                                 // s

constexpr Unit plain(Dimension d, double scale) { return {d, scale, 0, false}; }

using namespace dimension;

constexpr std::array table{
    UnitSymbol{"1", plain(none, 1), si, "1"},
    UnitSymbol{"%", plain(none, 0.01), si, "%"},
    UnitSymbol{"ppm", plain(none, 1e-6), nist, "ppm"},

    UnitSymbol{"s", plain(time, 1), si, "s"},
    UnitSymbol{"min", plain(time, 60), si, "min"},
    UnitSymbol{"h", plain(time, 3600), si, "h"},
    UnitSymbol{"d", plain(time, day), si, "d"},
    UnitSymbol{"week", plain(time, 7 * day), "seven days, ISO 8601", "week"},
    UnitSymbol{"month", plain(time, 30.4375 * day), calendar_months, "30.4375 d"},
    UnitSymbol{"year", plain(time, 365.25 * day), calendar_months, "365.25 d"},

    UnitSymbol{"degC", {temperature, 1, 0, true}, si, "degC"},
    UnitSymbol{"K", plain(temperature, 1), si, "K"},
    UnitSymbol{"degF", {temperature, 5.0 / 9.0, -160.0 / 9.0, true}, nist, "degF"},
    UnitSymbol{"degC_step", plain(temperature, 1), si, "K"},
    UnitSymbol{"degF_step", plain(temperature, 5.0 / 9.0), nist, "K/1.8"},

    UnitSymbol{"Pa", plain(pressure, 1), si, "Pa"},
    UnitSymbol{"hPa", plain(pressure, 100), si, "hPa"},
    UnitSymbol{"kPa", plain(pressure, 1000), si, "kPa"},
    UnitSymbol{"bar", plain(pressure, 1e5), nist, "bar"},
    UnitSymbol{"mbar", plain(pressure, 100), nist, "mbar"},
    UnitSymbol{"psi", plain(pressure, pound_force / (inch * inch)), nist, "psi"},
    UnitSymbol{"psf", plain(pressure, pound_force / (foot * foot)), nist, "lbf/ft^2"},
    UnitSymbol{"inHg", plain(pressure, inch_of_mercury), nist, "inHg"},

    UnitSymbol{"V", plain(voltage, 1), si, "V"},
    UnitSymbol{"mV", plain(voltage, 1e-3), si, "mV"},
    UnitSymbol{"A", plain(current, 1), si, "A"},
    UnitSymbol{"mA", plain(current, 1e-3), si, "mA"},
    UnitSymbol{"Ah", plain(charge, 3600), nist, "A.h"},
    UnitSymbol{"mAh", plain(charge, 3.6), nist, "mA.h"},

    UnitSymbol{"W", plain(power, 1), si, "W"},
    UnitSymbol{"kW", plain(power, 1000), si, "kW"},
    UnitSymbol{"Wh", plain(energy, 3600), nist, "W.h"},
    UnitSymbol{"kWh", plain(energy, 3.6e6), nist, "kW.h"},
    UnitSymbol{"J", plain(energy, 1), si, "J"},
    UnitSymbol{"kJ", plain(energy, 1000), si, "kJ"},

    UnitSymbol{"mm", plain(length, 1e-3), si, "mm"},
    UnitSymbol{"cm", plain(length, 1e-2), si, "cm"},
    UnitSymbol{"m", plain(length, 1), si, "m"},
    UnitSymbol{"in", plain(length, inch), nist, "in"},
    UnitSymbol{"inch", plain(length, inch), nist, "inch"},
    UnitSymbol{"ft", plain(length, foot), nist, "ft"},

    UnitSymbol{"g", plain(mass, 1e-3), si, "g"},
    UnitSymbol{"kg", plain(mass, 1), si, "kg"},
    UnitSymbol{"lb", plain(mass, pound), nist, "lb"},
    UnitSymbol{"oz", plain(mass, pound / 16), nist, "avoirdupois_ounce"},

    UnitSymbol{"L", plain(volume, 1e-3), si, "L"},
    UnitSymbol{"mL", plain(volume, 1e-6), si, "mL"},
    UnitSymbol{"gal", plain(volume, us_gallon), nist_44, "US_liquid_gallon"},
};

}  // namespace

std::span<const UnitSymbol> unit_symbols() { return table; }

}  // namespace overwinter
