#include "rules/quantity/unit.h"

#include <cmath>

#include "tests/test_headers.h"

namespace overwinter {
namespace {

Unit unit(std::string_view text, UnitContext context = UnitContext::expression) {
  const Result<Unit> parsed = parse_unit(text, context);
  EXPECT_TRUE(parsed) << text;
  return parsed.value_or(Unit{});
}

Fault unit_refusal(std::string_view text, UnitContext context = UnitContext::expression) {
  const Result<Unit> parsed = parse_unit(text, context);
  EXPECT_FALSE(parsed) << text;
  return parsed ? Fault{} : parsed.error();
}

bool unit_hint_holds(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

// NIST Special Publication 811 (2008), appendix B.8, to the digits printed there; the gallon and the ounce, NIST
// Handbook 44, appendix C.
TEST(UnitTable, AgreesWithNist) {
  struct Row {
    std::string_view symbol;
    double factor;
  };
  for (const Row& row : {Row{"psi", 6.894757e3}, Row{"psf", 4.788026e1}, Row{"inHg", 3.386389e3}, Row{"ft", 3.048e-1},
                         Row{"lb", 4.5359237e-1}, Row{"oz", 2.834952e-2}, Row{"gal", 3.785412e-3}, Row{"mbar", 1e2},
                         Row{"kWh", 3.6e6}, Row{"Ah", 3.6e3}, Row{"lb/ft^2", 4.882428}}) {
    EXPECT_NEAR(unit(row.symbol).scale, row.factor, 2e-7 * row.factor) << row.symbol;
  }
}

TEST(UnitTable, NoSymbolStandsTwiceAndEachNamesItsSource) {
  std::vector<std::string_view> seen;
  for (const UnitSymbol& row : unit_symbols()) {
    EXPECT_EQ(std::count(seen.begin(), seen.end(), row.symbol), 0) << row.symbol;
    EXPECT_FALSE(row.source.empty()) << row.symbol;
    seen.push_back(row.symbol);
  }
}

TEST(UnitTable, MonthsAndYearsAreMeans) {
  EXPECT_EQ(unit("month").scale, 30.4375 * 86400);
  EXPECT_EQ(unit("year").scale, 12 * unit("month").scale);
}

// Fixed points of the Fahrenheit scale, by definition: 32 degF = 0 degC, 212 degF = 100 degC, -40 on both.
TEST(UnitTable, FahrenheitMeetsCelsius) {
  EXPECT_EQ(to_canonical(32, unit("degF")), 0.0);
  EXPECT_NEAR(to_canonical(212, unit("degF")), 100.0, 1e-12);
  EXPECT_NEAR(to_canonical(-40, unit("degF")), -40.0, 1e-12);
  EXPECT_NEAR(from_canonical(0, unit("degF")), 32.0, 1e-12);
}

TEST(UnitParse, ReadsCompoundsFromTheLeft) {
  EXPECT_EQ(unit("A.h").scale, unit("Ah").scale);
  EXPECT_EQ(unit("A.h").dimension, dimension::charge);
  EXPECT_EQ(unit("1/d").dimension, dimension::rate);
  EXPECT_DOUBLE_EQ(unit("1/d").scale, 1.0 / 86400);
  EXPECT_EQ(unit("g/m^3").dimension, dimension::density);
  EXPECT_EQ(unit("kJ/kg").dimension, dimension::specific_energy);
  EXPECT_EQ(unit("J/kg/K").dimension, (Dimension{2, 0, -2, 0, -1}));
  EXPECT_EQ(unit("psi/week").dimension, dimension::pressure_rate);
  EXPECT_EQ(unit("%/d").dimension, dimension::rate);
}

TEST(UnitParse, TakesTheSpellingsOfPrint) {
  EXPECT_EQ(unit("m³").scale, unit("m^3").scale);
  EXPECT_EQ(unit("g/m³").dimension, dimension::density);
  EXPECT_TRUE(unit("°C").is_point);
  EXPECT_EQ(unit("°F").offset, unit("degF").offset);
}

TEST(UnitParse, TemperaturesInsideACompoundAreDifferences) {
  for (const std::string_view text : {"mV/K", "mV/degC", "mV/degC_step", "mV/°C"}) {
    EXPECT_EQ(unit(text).dimension, dimension::voltage_per_kelvin) << text;
    EXPECT_DOUBLE_EQ(unit(text).scale, 1e-3) << text;
    EXPECT_FALSE(unit(text).is_point) << text;
  }
  EXPECT_DOUBLE_EQ(unit("psi/degF").scale, unit("psi").scale * 1.8);
  EXPECT_EQ(unit("degF.d").offset, 0.0);
  EXPECT_FALSE(unit("degC^2").is_point);
}

TEST(UnitParse, InIsInchInABindingOnly) {
  EXPECT_DOUBLE_EQ(unit("in", UnitContext::binding).scale, 0.0254);
  EXPECT_DOUBLE_EQ(unit("inch").scale, 0.0254);
  EXPECT_TRUE(unit_hint_holds(unit_refusal("in").hint, "`inch`"));
  EXPECT_TRUE(unit_hint_holds(unit_refusal("lb/in").hint, "`inch`"));
}

TEST(UnitParse, HintsAtWhatWasMeant) {
  EXPECT_TRUE(unit_hint_holds(unit_refusal("F").hint, "farad"));
  EXPECT_TRUE(unit_hint_holds(unit_refusal("F").hint, "`degF`"));
  EXPECT_TRUE(unit_hint_holds(unit_refusal("C").hint, "`degC`"));
  EXPECT_TRUE(unit_hint_holds(unit_refusal("gallon").hint, "`gal` (US)"));
  EXPECT_TRUE(unit_hint_holds(unit_refusal("Gal").hint, "`gal` (US)"));
  EXPECT_TRUE(unit_hint_holds(unit_refusal("PSI").hint, "`psi`"));
  EXPECT_TRUE(unit_hint_holds(unit_refusal("m3").hint, "`m^3`"));
  EXPECT_EQ(unit_refusal("h30").hint.find('^'), std::string::npos);  // an exponent has one digit: no unit either
  EXPECT_TRUE(unit_hint_holds(unit_refusal("psig").hint, "gauge or absolute"));
  EXPECT_TRUE(unit_hint_holds(unit_refusal("wek").hint, "`week`"));
}

TEST(UnitParse, OffersSpacesAroundADivision) {
  EXPECT_TRUE(unit_hint_holds(unit_refusal("psi/7").hint, "spaces around `/`"));
  EXPECT_TRUE(unit_hint_holds(unit_refusal("capacity/current").hint, "spaces around `/`"));
}

TEST(UnitParse, RefusesWhatIsNoRun) {
  for (const std::string_view text : {"", " ", "g / m^3", "/d", "d/", "A..h", "m^", "m^0", "m^-1", "m^10", "m^x", "^3",
                                      "1/0", "2/d", "psi//d", "gA"}) {
    EXPECT_FALSE(parse_unit(text, UnitContext::binding)) << text;
  }
  EXPECT_FALSE(parse_unit(std::string(65, 'm'), UnitContext::binding));
}

TEST(UnitParse, KeepsExponentsInBounds) {
  EXPECT_TRUE(parse_unit("m^9.m^9.m^9", UnitContext::binding));
  EXPECT_FALSE(parse_unit("m^9.m^9.m^9.m^9", UnitContext::binding));
  EXPECT_FALSE(parse_unit("1/L^9/L^9", UnitContext::binding));
}

RC_GTEST_PROP(UnitParse, NeverFailsOnAnyText, (const std::string& text)) {
  const Result<Unit> parsed = parse_unit(text, UnitContext::expression);
  RC_ASSERT(parsed || !parsed.error().text.empty());
}

RC_GTEST_PROP(UnitConversion, GoesThereAndBack, ()) {
  const auto table = unit_symbols();
  const UnitSymbol& row = table[*rc::gen::inRange<std::size_t>(0, table.size())];
  const double value = *rc::gen::inRange(-1'000'000, 1'000'000) / 1000.0;
  RC_ASSERT(std::abs(from_canonical(to_canonical(value, row.unit), row.unit) - value) <= 1e-9);
}

RC_GTEST_PROP(UnitConversion, ProductOfAnyTwoHasTheProductOfTheirScales, ()) {
  const auto table = unit_symbols();
  const UnitSymbol& a = table[*rc::gen::inRange<std::size_t>(0, table.size())];
  const UnitSymbol& b = table[*rc::gen::inRange<std::size_t>(0, table.size())];
  const std::string product = std::string(a.symbol) + "." + std::string(b.symbol);
  const Result<Unit> parsed = parse_unit(product, UnitContext::binding);
  RC_ASSERT(bool(parsed));
  RC_ASSERT(parsed->dimension == a.unit.dimension + b.unit.dimension);
  RC_ASSERT(parsed->scale == a.unit.scale * b.unit.scale);
  RC_ASSERT(parsed->offset == 0.0);
}

// The same decimal in both, to the last bit (IEEE 754: a quotient is rounded correctly). SI prefixes and the percent
// sign: SI Brochure.
TEST(UnitConversion, APartOfAUnitIsTheDecimalThatItIs) {
  struct Part {
    std::string_view symbol;
    int digits;  // that the point moves
  };
  for (const Part& part : {Part{"mV", 3}, Part{"mA", 3}, Part{"mm", 3}, Part{"cm", 2}, Part{"g", 3}, Part{"L", 3},
                           Part{"mL", 6}, Part{"%", 2}, Part{"ppm", 6}, Part{"g/m^3", 3}, Part{"mV/K", 3}}) {
    for (int n = 1; n <= 20'000; ++n) {
      const double decimal = std::stod(std::to_string(n) + "e-" + std::to_string(part.digits));
      ASSERT_EQ(to_canonical(n, unit(part.symbol)), decimal) << n << ' ' << part.symbol;
    }
  }
}

TEST(UnitFits, TellsPointsFromDifferences) {
  EXPECT_TRUE(unit_fits(unit("degC"), Type::temperature()));
  EXPECT_FALSE(unit_fits(unit("K"), Type::temperature()));
  EXPECT_FALSE(unit_fits(unit("degF"), Type::number(dimension::temperature)));
  EXPECT_TRUE(unit_fits(unit("degF_step"), Type::number(dimension::temperature)));
  EXPECT_TRUE(unit_fits(unit("psi"), Type::gauge()));
  EXPECT_TRUE(unit_fits(unit("psi"), Type::absolute()));
  EXPECT_FALSE(unit_fits(unit("V"), Type::gauge()));
  EXPECT_FALSE(unit_fits(unit("s"), Type::instant()));
}

TEST(CanonicalUnit, IsReadBackWithFactorOne) {
  for (const Dimension d : {dimension::none,
                            dimension::length,
                            dimension::mass,
                            dimension::time,
                            dimension::current,
                            dimension::temperature,
                            dimension::volume,
                            dimension::pressure,
                            dimension::energy,
                            dimension::power,
                            dimension::voltage,
                            dimension::charge,
                            dimension::rate,
                            dimension::density,
                            dimension::specific_energy,
                            dimension::pressure_rate,
                            dimension::mass_per_area,
                            dimension::voltage_per_kelvin,
                            dimension::irradiance,
                            dimension::kelvin_time,
                            Dimension{1, 0, -1, 0, 0},
                            Dimension{-1, 0, -2, 0, -1}}) {
    const std::string name = canonical_unit(Type::number(d));
    EXPECT_EQ(unit(name).dimension, d) << name;
    EXPECT_DOUBLE_EQ(unit(name).scale, 1.0) << name;
  }
  EXPECT_EQ(canonical_unit(Type::temperature()), "degC");
  EXPECT_EQ(canonical_unit(Type::gauge()), "Pa");
  EXPECT_EQ(canonical_unit(Type::number(Dimension{1, 0, -1, 0, 0})), "m/s");
}

TEST(UsualUnits, FitTheirType) {
  for (const Type& type : {Type::temperature(), Type::gauge(), Type::absolute(), Type::share(), Type::duration(),
                           Type::number(dimension::temperature), Type::number(dimension::kelvin_time),
                           Type::number(dimension::rate), Type::number(dimension::voltage_per_kelvin)}) {
    EXPECT_FALSE(usual_units(type).empty());
    for (const std::string_view text : usual_units(type)) EXPECT_TRUE(unit_fits(unit(text), type)) << text;
  }
}

TEST(DescribeType, SpeaksOfThings) {
  EXPECT_EQ(describe(Type::temperature()), "a temperature");
  EXPECT_EQ(describe(Type::number(dimension::temperature)), "a temperature difference");
  EXPECT_EQ(describe(Type::gauge()), "a gauge pressure");
  EXPECT_EQ(describe(Type::number(dimension::pressure)), "a pressure");
  EXPECT_EQ(describe(Type::share()), "a number without unit");
  EXPECT_EQ(describe(Dimension{1, 0, -1, 0, 0}), "a quantity in m/s");
}

}  // namespace
}  // namespace overwinter
