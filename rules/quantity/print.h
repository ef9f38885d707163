// Values for a person: rounding, display units, uncertainty (LANGUAGE, Message templates).
#pragma once

#include <string>
#include <string_view>

#include "rules/quantity/time.h"
#include "rules/quantity/type.h"
#include "rules/quantity/unit.h"

namespace overwinter {

enum class DisplayUnits : unsigned char { metric, us };

// What a quantity is shown in where its dimension alone does not decide it.
enum class Shown : unsigned char {
  by_dimension,   // us: °F, psi, in, lb, gal; metric: °C, kPa, cm, kg, L
  tire_pressure,  // us: psi; metric: bar
  percent,        // shares of humidity, charge, contents: %
  charge,         // Ah
  plain,          // a number without unit
};

struct DisplayUnit {
  std::string_view symbol;  // as printed: "°F", "psi", "%", "V", "g/m³"
  Unit unit;
};
DisplayUnit display_unit(const Type& type, Shown shown, DisplayUnits units);

// A measured value alone: "42.6 psi", "12 °F", "-3.1 °C", "83 %", "12.47 V"; digits by quantity and unit. A pressure
// that is no tire's has two significant digits at least, for vapor: "0.033 psi", "0.23 kPa".
// Durations: "3 h", "2.5 d". Instants: local date "Sat Dec 19" (us) or "Sat 19 Dec" (metric), the year only if it is
// not the year of `now`. Booleans: "yes", "no". Words: the word, underscores as spaces.
std::string print_value(double canonical, const Type& type, Shown shown, DisplayUnits units, const TimeZone& zone,
                        Instant now);
// The same with three significant digits at least, for a number that was asked for and may be small: "0.00300 kg",
// "2.25 h". The zero of a temperature is no origin: it keeps its tenths.
std::string print_answer(double canonical, const Type& type, Shown shown, DisplayUnits units, const TimeZone& zone,
                         Instant now);
// With an uncertainty: "45.8 ± 1.5 psi": plus_minus rounded up to one significant digit (two if the first is 1), the
// value to the same place.
std::string print_with_uncertainty(double canonical, double plus_minus, const Type& type, Shown shown,
                                   DisplayUnits units);
// An uncertainty alone, rounded up as it would be behind its value: "1.5 psi". `type`: of the difference.
std::string print_uncertainty(double plus_minus, const Type& type, Shown shown, DisplayUnits units);
std::string print_uncertainty_in_unit(double plus_minus, const Unit& unit, std::string_view symbol);
// In a unit that the template names: {x in kPa}. A plus_minus of 0: the value alone.
std::string print_in_unit(double canonical, double plus_minus, const Type& type, Shown shown, const Unit& unit,
                          std::string_view symbol);

// A name at the start of a sentence: "house battery is low" begins with a capital letter (ASCII only).
std::string as_sentence(std::string text);

std::string print_date(Instant t, DisplayUnits units, const TimeZone& zone, Instant now);
// "Sat Dec 19 09:15", in local time.
std::string print_date_and_time(Instant t, DisplayUnits units, const TimeZone& zone, Instant now);

}  // namespace overwinter
