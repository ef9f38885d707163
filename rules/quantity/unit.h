// Unit symbols: the own table of some 70, compound units, parsing and conversion.
// A unit is one run without spaces of symbols, `.`, `/`, `^` and digits: A.h, g/m^3, 1/d, psi/week, mV/K.
#pragma once

#include <span>
#include <string>
#include <string_view>

#include "rules/quantity/spelling.h"  // nearest_word
#include "rules/quantity/type.h"
#include "rules/result.h"

namespace overwinter {

// value in canonical unit = value * scale + offset. Offset is not 0 only for degC (0, canonical) and degF points.
struct Unit {
  Dimension dimension{};
  double scale = 1;
  double offset = 0;
  bool is_point = false;  // degC and degF standing alone
};

// One row of the table.
struct UnitSymbol {
  std::string_view symbol;
  Unit unit;
  std::string_view source;    // where the factor comes from
  std::string_view udunits2;  // the same unit in that library's spelling; empty: it has none (a known difference)
};

std::span<const UnitSymbol> unit_symbols();

// Where a unit stands decides about `in`: in a binding it is inch; in an expression or template it is a word of the
// language and inch is written `inch`.
enum class UnitContext : unsigned char { expression, binding };

// Parses a whole unit text. Accepts the spellings °C, °F, m³. Inside a compound, degC and degF are differences.
// Faults carry no place; `hint` names what to write (farad and gallon hints, nearest symbol, spaces around `/`).
Result<Unit> parse_unit(std::string_view text, UnitContext context);

// True if the unit can express a value of the type: temperature points need a point unit (degC, degF; K is a
// difference), differences a non-point unit.
bool unit_fits(const Unit& unit, const Type& type);

// A value with its unit in one text, "52 psi", "61 degF", "-18 degC", "75 %", "0.5" (dimension none, no unit).
struct UnitValue {
  double value = 0;  // canonical
  Unit unit{};
  std::string unit_text;  // as written; empty for none
};
// Reads number, optional spaces, unit; the whole text. Finite numbers only; no locale. A number without unit has
// dimension none.
Result<UnitValue> parse_unit_value(std::string_view text, UnitContext context);

// A value that is to have a type: checks dimension and sort ("a bare number where a unit is needed": the hint lists
// units it could have; humidity and charge shares given as a bare number: "60 %" is named when bare_share is false).
// A duration may stand in the plural, "10 years".
Result<double> parse_value_of_type(std::string_view text, const Type& type, bool bare_share, UnitContext context);

// The units a value of this type is usually written in, for hints: {"psi", "kPa", "bar"}.
std::span<const std::string_view> usual_units(const Type& type);

// The name of the canonical unit, for machine output: Pa, degC, V, 1, s, kg/m^3, and composed from base units
// otherwise. Temperature differences: K.
std::string canonical_unit(const Type& type);

double from_canonical(double canonical, const Unit& unit);
double to_canonical(double value, const Unit& unit);

}  // namespace overwinter
