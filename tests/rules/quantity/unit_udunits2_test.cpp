// Every unit symbol against the library udunits2 (Unidata), an independent table; and the places where the two are
// known to differ.
#include <udunits2.h>

#include <memory>

#include "rules/quantity/unit.h"
#include "tests/test_headers.h"

namespace overwinter {
namespace {

struct FreeSystem {
  void operator()(ut_system* s) const { ut_free_system(s); }
};
struct FreeUnit {
  void operator()(ut_unit* u) const { ut_free(u); }
};
struct FreeConverter {
  void operator()(cv_converter* c) const { cv_free(c); }
};
using Converter = std::unique_ptr<cv_converter, FreeConverter>;

class UnitAgainstUdunits2 : public testing::Test {
 protected:
  void SetUp() override {
    ut_set_error_message_handler(ut_ignore);
    system_.reset(ut_read_xml(nullptr));
    ASSERT_NE(system_, nullptr);
  }

  // Null when the library does not know one of them, or cannot convert.
  Converter converter(std::string_view from, std::string_view to) {
    const auto parse = [&](std::string_view text) {
      return std::unique_ptr<ut_unit, FreeUnit>(ut_parse(system_.get(), std::string(text).c_str(), UT_UTF8));
    };
    const auto a = parse(from);
    const auto b = parse(to);
    return Converter(a && b ? ut_get_converter(a.get(), b.get()) : nullptr);
  }

  static std::string canonical(const Unit& unit) {
    return canonical_unit(unit.is_point ? Type::temperature() : Type::number(unit.dimension));
  }

  // udunits2 states the US gallon and the ounce to seven digits only.
  static double tolerance(std::string_view symbol) { return symbol == "gal" || symbol == "oz" ? 2e-7 : 1e-12; }

 private:
  std::unique_ptr<ut_system, FreeSystem> system_;
};

TEST_F(UnitAgainstUdunits2, EverySymbolConvertsAlike) {
  for (const UnitSymbol& row : unit_symbols()) {
    const Converter c = converter(row.udunits2, canonical(row.unit));
    ASSERT_NE(c, nullptr) << row.symbol;
    for (const double value : {-40.0, 0.0, 1.0, 273.15, 1e6}) {
      const double theirs = cv_convert_double(c.get(), value);
      EXPECT_NEAR(to_canonical(value, row.unit), theirs, tolerance(row.symbol) * std::max(1.0, std::abs(theirs)))
          << row.symbol << " " << value;
    }
  }
}

TEST_F(UnitAgainstUdunits2, SymbolsThatItReadsOtherwiseAreTheKnownOnes) {
  std::vector<std::string> differing;
  for (const UnitSymbol& row : unit_symbols()) {
    const Converter by_name = converter(row.symbol, canonical(row.unit));
    const double ours = to_canonical(1.0, row.unit);
    const bool alike =
        by_name && std::abs(cv_convert_double(by_name.get(), 1.0) - ours) <= tolerance(row.symbol) * std::abs(ours);
    if (!alike) differing.emplace_back(row.symbol);
  }
  // month and year are there means of the tropical year; oz is there the fluid ounce, gal the acceleration; the others
  // it lacks.
  EXPECT_EQ(differing, (std::vector<std::string>{"month", "year", "degC_step", "degF_step", "psf", "Ah", "mAh", "Wh",
                                                 "kWh", "oz", "gal"}));
}

TEST_F(UnitAgainstUdunits2, GalIsAnAccelerationThere) {
  const Converter c = converter("gal", "m/s^2");
  ASSERT_NE(c, nullptr);
  EXPECT_NEAR(cv_convert_double(c.get(), 1.0), 0.01, 1e-15);
}

TEST_F(UnitAgainstUdunits2, OunceIsAVolumeThere) { EXPECT_NE(converter("oz", "m^3"), nullptr); }

TEST_F(UnitAgainstUdunits2, CompoundsConvertAlike) {
  const std::vector<std::string_view> compounds{"A.h",    "m^3",     "g/m^3",  "1/d",     "kJ/kg",  "psi/week",
                                                "mV/K",   "%/d",     "W/m^2",  "lb/ft^2", "kg/m^2", "K.d",
                                                "J/kg/K", "W/m^2.K", "inHg/h", "kPa/week"};
  for (const std::string_view text : compounds) {
    const Result<Unit> ours = parse_unit(text, UnitContext::expression);
    ASSERT_TRUE(ours) << text;
    const Converter c = converter(text, canonical(*ours));
    ASSERT_NE(c, nullptr) << text << " to " << canonical(*ours);
    const double theirs = cv_convert_double(c.get(), 3.0);
    EXPECT_NEAR(to_canonical(3.0, *ours), theirs, 1e-12 * theirs) << text;
  }
}

}  // namespace
}  // namespace overwinter
