#include "rules/quantity/print.h"

#include <array>
#include <cmath>

#include "tests/test_headers.h"

namespace overwinter {
namespace {

using std::chrono::sys_days;

constexpr double psi = 6894.757293168;
constexpr Instant now = sys_days(std::chrono::December / 10 / 2026);

std::string us(double value, const Type& type, Shown shown = Shown::by_dimension) {
  return print_value(value, type, shown, DisplayUnits::us, TimeZone{}, now);
}
std::string metric(double value, const Type& type, Shown shown = Shown::by_dimension) {
  return print_value(value, type, shown, DisplayUnits::metric, TimeZone{}, now);
}

TEST(PrintValue, UsesTheUnitsOfTheReader) {
  EXPECT_EQ(us(42.6 * psi, Type::gauge(), Shown::tire_pressure), "42.6 psi");
  EXPECT_EQ(metric(42.6 * psi, Type::gauge(), Shown::tire_pressure), "2.94 bar");
  EXPECT_EQ(metric(42.6 * psi, Type::gauge()), "293.7 kPa");
  EXPECT_EQ(us(101325, Type::absolute()), "14.7 psi");  // ISO 2533, standard atmosphere
  EXPECT_EQ(metric(101325, Type::absolute()), "101.3 kPa");
  EXPECT_EQ(us(-11.1, Type::temperature()), "12 °F");
  EXPECT_EQ(metric(-3.1, Type::temperature()), "-3.1 °C");
  EXPECT_EQ(us(0.83, Type::share(), Shown::percent), "83 %");
  EXPECT_EQ(us(12.47, Type::number(dimension::voltage)), "12.47 V");
  EXPECT_EQ(us(85 * 3600.0, Type::number(dimension::charge)), "85 Ah");
  EXPECT_EQ(us(0.30, Type::number(dimension::length)), "12 in");
  EXPECT_EQ(metric(0.30, Type::number(dimension::length)), "30 cm");
  EXPECT_EQ(us(0.0045, Type::number(dimension::density)), "4.5 g/m³");
  EXPECT_EQ(us(2.25, Type::number(dimension::none), Shown::plain), "2.25");
  EXPECT_EQ(us(1.265, Type::share(), Shown::plain), "1.265");  // a full cell on a hydrometer's scale, of 0.005 a line
  EXPECT_EQ(us(1, Type::share(), Shown::plain), "1.00");
}

TEST(PrintValue, DifferencesOfTemperatureHaveNoOffset) {
  EXPECT_EQ(us(6 / 1.8, Type::number(dimension::temperature)), "6 °F");
  EXPECT_EQ(metric(3.34, Type::number(dimension::temperature)), "3.3 °C");
}

// What a slope of a thermometer or a voltmeter is read by.
TEST(PrintValue, RatesAreByTheHourOrTheWeek) {
  const Type cooling = Type::number(dimension::temperature - dimension::time);
  EXPECT_EQ(metric(-1.5 / 3600, cooling), "-1.5 °C/h");
  EXPECT_EQ(us(-1.5 / 3600, cooling), "-2.7 °F/h");
  EXPECT_EQ(us(-0.005 / 3600, Type::number(dimension::voltage - dimension::time)), "-5.0 mV/h");
  EXPECT_EQ(us(psi / (7 * 86400), Type::number(dimension::pressure_rate)), "1.0 psi/week");
}

TEST(PrintValue, HasNoNegativeZero) {
  EXPECT_EQ(metric(-0.04, Type::temperature()), "0.0 °C");
  EXPECT_EQ(us(-0.001 * psi, Type::gauge(), Shown::tire_pressure), "0.0 psi");
}

// Between saturation over ice and over water at -12 degC, 217 and 244 Pa (ASHRAE Handbook, from memory).
TEST(PrintValue, APressureOfVaporKeepsItsDigitsAndATireShowsNoMoreThanItsGauge) {
  EXPECT_EQ(metric(230, Type::absolute()), "0.23 kPa");
  EXPECT_EQ(us(230, Type::absolute()), "0.033 psi");
  EXPECT_EQ(metric(0, Type::absolute()), "0.0 kPa");
  EXPECT_EQ(metric(-1234, Type::number(dimension::pressure)), "-1.2 kPa");
  EXPECT_EQ(us(-0.31 * psi, Type::number(dimension::pressure), Shown::tire_pressure), "-0.3 psi");
}

TEST(PrintValue, DurationsTakeTheUnitThatReadsBest) {
  EXPECT_EQ(us(45, Type::duration()), "45 s");
  EXPECT_EQ(us(59.7, Type::duration()), "1 min");
  EXPECT_EQ(us(25 * 60, Type::duration()), "25 min");
  EXPECT_EQ(us(59.8 * 60, Type::duration()), "1 h");
  EXPECT_EQ(us(3 * 3600, Type::duration()), "3 h");
  EXPECT_EQ(us(2.5 * 3600, Type::duration()), "2.5 h");
  EXPECT_EQ(us(36 * 3600, Type::duration()), "36 h");
  EXPECT_EQ(us(2.5 * 86400, Type::duration()), "2.5 d");
  EXPECT_EQ(us(-2.5 * 86400, Type::duration()), "-2.5 d");
  EXPECT_EQ(us(92 * 86400.0, Type::duration()), "92 d");
}

TEST(PrintValue, WordsAndBooleansAreForAPerson) {
  constexpr std::array<std::string_view, 2> words{"ok", "losing_air"};
  EXPECT_EQ(us(1, Type::word(words)), "losing air");
  EXPECT_EQ(us(9, Type::word(words)), "unknown");
  EXPECT_EQ(us(1, Type::boolean()), "yes");
  EXPECT_EQ(us(0, Type::boolean()), "no");
}

TEST(PrintValue, AnUnusualDimensionPrintsInItsCanonicalUnit) {
  EXPECT_EQ(us(2.5, Type::number(Dimension{1, 0, -1, 0, 0})), "2.50 m/s");
}

std::string pair_us(double value, double plus_minus, const Type& type = Type::gauge()) {
  return print_with_uncertainty(value, plus_minus, type, Shown::by_dimension, DisplayUnits::us);
}

// Rounding up to one or two significant digits: JCGM 100:2008, 7.2.6.
TEST(PrintUncertainty, RoundsUpToOneDigitOrTwoIfTheFirstIsOne) {
  EXPECT_EQ(pair_us(45.81 * psi, 1.41 * psi), "45.8 ± 1.5 psi");
  EXPECT_EQ(pair_us(45.81 * psi, 1.5 * psi), "45.8 ± 1.5 psi");
  EXPECT_EQ(pair_us(45.81 * psi, 2.0 * psi), "46 ± 2 psi");
  EXPECT_EQ(pair_us(45.81 * psi, 2.1 * psi), "46 ± 3 psi");
  EXPECT_EQ(pair_us(45.81 * psi, 0.31 * psi), "45.8 ± 0.4 psi");
  EXPECT_EQ(pair_us(45.81 * psi, 0.96 * psi), "45.8 ± 1.0 psi");
  EXPECT_EQ(pair_us(45.81 * psi, 1.0 * psi), "45.8 ± 1.0 psi");
  EXPECT_EQ(pair_us(458.1 * psi, 23 * psi), "460 ± 30 psi");
}

TEST(PrintUncertainty, OfATemperatureIsADifference) {
  EXPECT_EQ(pair_us(0, 2 / 1.8, Type::temperature()), "32 ± 2 °F");
  EXPECT_EQ(print_with_uncertainty(-12.34, 1.2, Type::temperature(), Shown::by_dimension, DisplayUnits::metric),
            "-12.3 ± 1.2 °C");
}

TEST(PrintUncertainty, WithoutOneTheValueStandsAlone) {
  EXPECT_EQ(pair_us(45.81 * psi, 0), "45.8 psi");
  EXPECT_EQ(pair_us(45.81 * psi, std::nan("")), "45.8 psi");
}

RC_GTEST_PROP(PrintUncertainty, IsNeverPrintedSmaller, ()) {
  const double plus_minus = *rc::gen::inRange(1, 1'000'000) / 1000.0;
  const std::string text = pair_us(0, plus_minus, Type::number(dimension::voltage));
  const std::string_view sign = " ± ";
  const std::size_t at = text.find(sign);
  RC_ASSERT(at != std::string::npos);
  const double printed = std::strtod(text.c_str() + at + sign.size(), nullptr);
  RC_ASSERT(printed >= plus_minus * (1 - 1e-8));
  RC_ASSERT(printed <= plus_minus * 1.51);
}

TEST(PrintInUnit, AnUncertaintyIsADifferenceInThatUnit) {
  const Unit degF = parse_unit("degF", UnitContext::expression).value_or(Unit{});
  EXPECT_EQ(print_in_unit(0, 1, Type::temperature(), Shown::by_dimension, degF, "degF"), "32.0 ± 1.8 °F");
  EXPECT_EQ(print_in_unit(0, 0, Type::temperature(), Shown::by_dimension, degF, "degF"), "32 °F");
}

TEST(PrintInUnit, TakesTheUnitOfTheTemplate) {
  const auto in = [](double value, const Type& type, std::string_view symbol) {
    const Unit unit = parse_unit(symbol, UnitContext::expression).value_or(Unit{});
    return print_in_unit(value, 0, type, Shown::by_dimension, unit, symbol);
  };
  EXPECT_EQ(in(101325, Type::absolute(), "kPa"), "101.3 kPa");
  EXPECT_EQ(in(230, Type::absolute(), "psi"), "0.033 psi");
  EXPECT_EQ(in(0, Type::temperature(), "degF"), "32 °F");
  EXPECT_EQ(in(10, Type::number(dimension::temperature), "degF_step"), "18 °F");
  EXPECT_EQ(in(0.001234, Type::number(dimension::volume), "m^3"), "0.00123 m³");
  EXPECT_EQ(in(0.5, Type::share(), "1"), "0.500");
  EXPECT_EQ(in(0.5, Type::share(), "%"), "50 %");
  EXPECT_EQ(in(0.0254, Type::number(dimension::length), "inch"), "1.0 in");
}

TEST(PrintDate, FollowsTheReaderAndNamesAnotherYear) {
  const Instant t = sys_days(std::chrono::December / 19 / 2026) + std::chrono::hours(2);
  EXPECT_EQ(print_date(t, DisplayUnits::us, TimeZone{}, now), "Sat Dec 19");
  EXPECT_EQ(print_date(t, DisplayUnits::metric, TimeZone{}, now), "Sat 19 Dec");
  EXPECT_EQ(us(to_seconds(t), Type::instant()), "Sat Dec 19");
  const TimeZone west{"west", {{Instant{}, std::chrono::hours(-6)}}};
  EXPECT_EQ(print_date(t, DisplayUnits::us, west, now), "Fri Dec 18");
  const Instant next_year = sys_days(std::chrono::January / 2 / 2027) + std::chrono::hours(12);
  EXPECT_EQ(print_date(next_year, DisplayUnits::us, west, now), "Sat Jan 2 2027");
  EXPECT_EQ(print_date_and_time(t, DisplayUnits::us, west, now), "Fri Dec 18 20:00");
}

}  // namespace
}  // namespace overwinter
