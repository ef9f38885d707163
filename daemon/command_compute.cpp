#include "daemon/command_compute.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <ostream>
#include <vector>

#include "daemon/json_text.h"
#include "rules/language/compile.h"
#include "rules/language/evaluator.h"
#include "rules/language/source.h"
#include "rules/physics/catalog.h"
#include "rules/quantity/print.h"

namespace overwinter {
namespace {

// No site: no quantities, dates in UTC.
class NoNames final : public Scope {
 public:
  std::optional<NamedQuantity> own(std::string_view) const override { return std::nullopt; }
  std::optional<NamedQuantity> of(std::string_view, std::string_view) const override { return std::nullopt; }
  bool is_owner(std::string_view) const override { return false; }
  std::vector<std::string_view> names(std::string_view) const override { return {}; }
  std::optional<std::uint32_t> station_pressure_slot() const override { return std::nullopt; }
  const TimeZone& zone() const override { return utc_; }

 private:
  TimeZone utc_;
};

class NoReadings final : public Readings {
 public:
  Cell read(Reference) const override { return Cell::unknown(); }
  Instant arrived(std::uint32_t) const override { return never; }
};

// A digit count of the mantissa, leading zeros apart.
std::size_t significant_digits(std::string_view number) {
  number = number.substr(0, number.find('e'));
  std::size_t count = 0;
  for (const char c : number) {
    if (c >= '0' && c <= '9' && (count > 0 || c != '0')) ++count;
  }
  return count;
}

// Any unit of the answer's dimension; nothing for another one. K of a temperature is the thermodynamic one, degF of a
// difference a difference.
std::optional<double> in_unit(double canonical, const Type& type, const Unit& unit) {
  constexpr double zero_celsius_in_kelvin = 273.15;
  if (type.sort == Sort::word || type.sort == Sort::code || type.sort == Sort::instant) return std::nullopt;
  if (unit.dimension != type.dimension) return std::nullopt;
  if (unit_fits(unit, type) || type.sort == Sort::boolean) return from_canonical(canonical, unit);
  if (type.sort == Sort::temperature) return (canonical + zero_celsius_in_kelvin) / unit.scale;
  if (unit.is_point) return canonical / unit.scale;
  return from_canonical(canonical, unit);
}

// "the answer is a temperature difference: `K`, `degC_step` or `degF_step`"
std::string units_of(const Type& type) {
  const auto units = usual_units(type);
  std::string text = "the answer is " + describe(type);
  for (std::size_t i = 0; i < units.size(); ++i) {
    text += fmt::format("{}`{}`", i == 0 ? ": " : i + 1 == units.size() ? " or " : ", ", units[i]);
  }
  return text;
}

std::string answer_for_a_person(double canonical, const Program& program, Instant now) {
  const TimeZone utc;
  if (program.type.sort == Sort::instant) return format_rfc3339(instant_from_seconds(canonical));
  return print_answer(canonical, program.type, program.shown, DisplayUnits::metric, utc, now);
}

int tell(const Console& console, const std::string& text, const std::string& hint, int code) {
  console.err << "error: " << text << '\n';
  if (!hint.empty()) console.err << "hint: " << hint << '\n';
  return code;
}

}  // namespace

std::string computed_number(double value) {
  constexpr std::size_t least = 7;
  if (value == 0) value = 0;                         // no minus zero
  std::string text = fmt::format("{:.12g}", value);  // what lies behind is noise of the conversion
  if (significant_digits(text) < least) text = fmt::format("{:#.7g}", value);
  if (text.ends_with('.')) text.pop_back();
  return text;
}

int compute(const ComputeOptions& options, const Console& console) {
  const NoNames scope;
  Faults others;
  Result<Program> compiled = compile(options.expression, scope, physics_functions(), Wanted::any, &others);
  std::optional<Unit> unit;
  if (!options.in.empty()) {
    const Result<Unit> parsed = parse_unit(options.in, UnitContext::binding);
    if (!parsed) {
      const std::string of_the_answer = compiled ? units_of(compiled->type) : "";
      std::string hint = parsed.error().hint;
      if (!hint.empty() && !of_the_answer.empty()) hint += hint.ends_with('?') ? " " : "; ";
      return tell(console, parsed.error().text, hint + of_the_answer, exit_usage);
    }
    unit = *parsed;
  }
  if (!compiled) {
    others.insert(others.begin(), compiled.error());
    for (Fault& fault : others) {
      fault.where.file = "expression";
      console.err << render_fault(fault, options.expression) << '\n';
    }
    return exit_no;
  }
  const Program& program = *compiled;
  const NoReadings readings;
  std::vector<Window> windows(program.histories.size());
  const Cell cell = evaluate(program, readings, windows, options.now);
  if (unit && !in_unit(0, program.type, *unit)) {
    return tell(console, fmt::format("`{}` is no unit of the answer", options.in), units_of(program.type), exit_usage);
  }
  if (!cell.known || !std::isfinite(cell.value)) {
    const char* reason = reason_of_no_value(program, readings, options.now);
    return tell(console, fmt::format("no value: {}", reason != nullptr ? reason : "it cannot be known"), {}, exit_no);
  }
  const double number = unit ? in_unit(cell.value, program.type, *unit).value_or(cell.value) : cell.value;
  if (options.json) {
    std::string out;
    JsonObject object(out);
    object.number("value", number);
    object.text("unit", unit ? options.in : canonical_unit(program.type));
    object.text("answer", answer_for_a_person(cell.value, program, options.now));
    object.end();
    console.out << out << '\n';
  } else {
    console.out << (unit ? computed_number(number) : answer_for_a_person(cell.value, program, options.now)) << '\n';
  }
  return exit_done;
}

}  // namespace overwinter
