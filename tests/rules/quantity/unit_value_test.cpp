#include <fmt/format.h>

#include <cmath>

#include "rules/quantity/unit.h"
#include "tests/test_headers.h"

namespace overwinter {
namespace {

constexpr auto binding = UnitContext::binding;

double read(std::string_view text, const Type& type) {
  const Result<double> value = parse_value_of_type(text, type, true, binding);
  EXPECT_TRUE(value) << text << ": " << (value ? "" : value.error().text);
  return value.value_or(std::nan(""));
}

Fault refusal(std::string_view text, const Type& type) {
  const Result<double> value = parse_value_of_type(text, type, false, binding);
  EXPECT_FALSE(value) << text;
  return value ? Fault{} : value.error();
}

bool holds(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

TEST(UnitValue, ReadsNumberAndUnitWithOrWithoutASpace) {
  EXPECT_NEAR(read("52 psi", Type::gauge()), 358527.38, 0.01);
  EXPECT_EQ(read("52psi", Type::gauge()), read("52 psi", Type::gauge()));
  EXPECT_NEAR(read("61 degF", Type::temperature()), 16.1111, 1e-4);
  EXPECT_EQ(read("-18 degC", Type::temperature()), -18.0);
  EXPECT_EQ(read("-18 °C", Type::temperature()), -18.0);
  EXPECT_EQ(read("85 Ah", Type::number(dimension::charge)), 85 * 3600.0);
  EXPECT_DOUBLE_EQ(read("18 %", Type::share()), 0.18);
  EXPECT_EQ(read("0.18", Type::share()), 0.18);
  EXPECT_DOUBLE_EQ(read("0.05 1/d", Type::number(dimension::rate)), 0.05 / 86400);
  EXPECT_EQ(read("1e3 mm", Type::number(dimension::length)), 1.0);
  EXPECT_EQ(read("30 min", Type::duration()), 1800.0);
  EXPECT_EQ(read("10 years", Type::duration()), read("10 year", Type::duration()));
  EXPECT_EQ(read("6 months ", Type::duration()), 6 * 30.4375 * 86400);
  EXPECT_EQ(read("2weeks", Type::duration()), 14 * 86400.0);
}

TEST(UnitValue, RefusesWhatIsNoFiniteNumber) {
  for (const std::string_view text :
       {"", " ", "psi", "-", "- 5 psi", "+5 psi", "nan psi", "inf psi", "-inf psi", ".5 psi", "5. psi", "0x10 psi",
        "1e999 psi", "1e308 kPa", "5 5 psi", "5 psi psi", "1,5 bar"}) {
    EXPECT_FALSE(parse_unit_value(text, binding)) << text;
  }
}

TEST(UnitValue, ABareNumberIsToldItsUnits) {
  EXPECT_EQ(refusal("52", Type::gauge()).text, "`52` needs a unit: a gauge pressure is expected");
  EXPECT_EQ(refusal("52", Type::gauge()).hint, "it could be in `psi`, `kPa` or `bar`");
  EXPECT_EQ(refusal("5", Type::temperature()).hint, "it could be in `degC` or `degF`");
}

TEST(UnitValue, ABareShareIsToldItsPercent) {
  EXPECT_EQ(refusal("60", Type::share()).hint, "write `60 %`");
  EXPECT_EQ(refusal("0.6", Type::share()).hint, "write `60 %`");
  EXPECT_EQ(refusal("1", Type::share()).hint, "write `1 %` or `100 %`");
}

TEST(UnitValue, PointsAndDifferencesAreKeptApart) {
  EXPECT_EQ(refusal("3 K", Type::temperature()).text, "`3 K` is a temperature difference, not a temperature");
  EXPECT_TRUE(holds(refusal("3 K", Type::temperature()).hint, "`degF`"));
  EXPECT_EQ(refusal("3 degC", Type::number(dimension::temperature)).text,
            "`3 degC` is a temperature, not a temperature difference");
  EXPECT_TRUE(holds(refusal("3 degC", Type::number(dimension::temperature)).hint, "`degC_step`"));
  EXPECT_EQ(refusal("52 V", Type::gauge()).text, "`52 V` is a voltage, not a gauge pressure");
}

TEST(UnitValue, HintsAtFaradCommaMinusAndDivision) {
  EXPECT_TRUE(holds(refusal("61 F", Type::temperature()).hint, "farad"));
  EXPECT_TRUE(holds(refusal("1,5 bar", Type::gauge()).hint, "`1.5`"));
  EXPECT_TRUE(holds(refusal("−5 degC", Type::temperature()).hint, "`-`"));
  EXPECT_EQ(refusal("0.05/d", Type::number(dimension::rate)).hint, "write `0.05 1/d`");
  EXPECT_TRUE(holds(refusal("3 psi / week", Type::number(dimension::pressure_rate)).hint, "one run"));
}

// 0 K is -273.15 degC = -459.67 degF by definition (SI Brochure, 2.3.1; NIST SP 811).
TEST(UnitValue, RefusesWhatNoInstrumentCanShow) {
  EXPECT_TRUE(holds(refusal("-274 degC", Type::temperature()).text, "absolute zero"));
  EXPECT_TRUE(holds(refusal("-459.8 degF", Type::temperature()).text, "absolute zero"));
  EXPECT_NEAR(read("-459.6 degF", Type::temperature()), -273.11, 0.01);
  EXPECT_TRUE(holds(refusal("-0.1 kPa", Type::absolute()).text, "vacuum"));
  EXPECT_TRUE(holds(refusal("-16 psi", Type::gauge()).text, "vacuum"));
  EXPECT_NEAR(read("-14 psi", Type::gauge()), -96526.6, 0.1);
}

RC_GTEST_PROP(UnitValue, NeverFailsOnAnyText, (const std::string& text)) {
  const Result<UnitValue> parsed = parse_unit_value(text, binding);
  RC_ASSERT((parsed ? std::isfinite(parsed->value) : !parsed.error().text.empty()));
}

RC_GTEST_PROP(UnitValue, ReadsBackWhatItWrote, ()) {
  const auto table = unit_symbols();
  const UnitSymbol& row = table[*rc::gen::inRange<std::size_t>(0, table.size())];
  const double number = *rc::gen::inRange(-100'000'000, 100'000'000) / 1024.0;
  const Result<UnitValue> parsed = parse_unit_value(fmt::format("{} {}", number, row.symbol), binding);
  RC_ASSERT(bool(parsed));
  RC_ASSERT(parsed->value == to_canonical(number, row.unit));
  RC_ASSERT(parsed->unit_text == row.symbol);
}

}  // namespace
}  // namespace overwinter
