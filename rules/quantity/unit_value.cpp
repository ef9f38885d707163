// Values with their unit in one text, and the names of units by type.
#include <fmt/format.h>

#include <array>
#include <charconv>
#include <cmath>
#include <vector>

#include "rules/quantity/digit.h"
#include "rules/quantity/unit.h"

namespace overwinter {
namespace {

std::string_view without_outer_spaces(std::string_view text) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
  return text;
}

struct UsualUnits {
  Dimension dimension;
  std::string_view canonical;  // empty: composed
  std::array<std::string_view, 4> usual;
};

constexpr std::array usual_table{
    UsualUnits{dimension::none, "1", {"%", "1"}},
    UsualUnits{dimension::length, "m", {"cm", "m", "inch", "ft"}},
    UsualUnits{dimension::mass, "kg", {"g", "kg", "lb", "oz"}},
    UsualUnits{dimension::time, "s", {"min", "h", "d", "week"}},
    UsualUnits{dimension::current, "A", {"A", "mA"}},
    UsualUnits{dimension::temperature, "K", {"K", "degC_step", "degF_step"}},
    UsualUnits{dimension::volume, "m^3", {"L", "mL", "gal", "m^3"}},
    UsualUnits{dimension::pressure, "Pa", {"psi", "kPa", "bar"}},
    UsualUnits{dimension::energy, "J", {"Wh", "kWh", "kJ"}},
    UsualUnits{dimension::power, "W", {"W", "kW"}},
    UsualUnits{dimension::voltage, "V", {"V", "mV"}},
    UsualUnits{dimension::charge, "A.s", {"Ah", "mAh"}},
    UsualUnits{dimension::rate, "1/s", {"1/d", "%/d", "%/month"}},
    UsualUnits{dimension::density, "kg/m^3", {"g/m^3", "kg/m^3"}},
    UsualUnits{dimension::specific_energy, "J/kg", {"kJ/kg"}},
    UsualUnits{dimension::pressure_rate, "Pa/s", {"psi/week", "kPa/week"}},
    UsualUnits{dimension::mass_per_area, "kg/m^2", {"g/m^2", "kg/m^2", "lb/ft^2"}},
    UsualUnits{dimension::voltage_per_kelvin, "V/K", {"mV/K", "mV/degF_step"}},
    UsualUnits{dimension::irradiance, "W/m^2", {"W/m^2"}},
    UsualUnits{dimension::kelvin_time, "K.s", {"K.d", "degF_step.d"}},
};

constexpr std::array<std::string_view, 2> temperature_units{"degC", "degF"};

const UsualUnits* usual_row(Dimension d) {
  for (const UsualUnits& row : usual_table) {
    if (row.dimension == d) return &row;
  }
  return nullptr;
}

// "`psi`, `kPa` or `bar`"
std::string unit_choice(const Type& type) {
  const auto units = usual_units(type);
  std::string text;
  for (std::size_t i = 0; i < units.size(); ++i) {
    if (i > 0) text += i + 1 == units.size() ? " or " : ", ";
    text += fmt::format("`{}`", units[i]);
  }
  return text;
}

std::string compose(Dimension d) {
  struct Base {
    std::string_view symbol;
    int exponent;
  };
  const std::array bases{Base{"kg", d.mass}, Base{"m", d.length}, Base{"A", d.current}, Base{"K", d.temperature},
                         Base{"s", d.time}};
  std::string over, under;
  for (const Base& base : bases) {
    const int size = std::abs(base.exponent);
    if (size == 0) continue;
    const std::string power = size == 1 ? std::string(base.symbol) : fmt::format("{}^{}", base.symbol, size);
    if (base.exponent > 0) {
      over += over.empty() ? power : "." + power;
    } else {
      under += "/" + power;
    }
  }
  return (over.empty() ? "1" : over) + under;
}

// The remedy for a share without a unit: "60" is meant as 60 %, "0.6" too; a 1 can be either.
std::string share_hint(double value) {
  if (value > 1) return fmt::format("write `{:.6g} %`", value);
  if (value == 1) return "write `1 %` or `100 %`";
  return fmt::format("write `{:.6g} %`", value * 100);
}

std::string hint_for_wrong_unit(const Unit& unit, const Type& type) {
  if (type.sort == Sort::temperature && unit.dimension == dimension::temperature) {
    return "a temperature is written in `degC` or `degF`; `K`, `degC_step` and `degF_step` are differences";
  }
  if (type.sort == Sort::number && type.dimension == dimension::temperature && unit.is_point) {
    return "a difference is written in `K`, `degC_step` or `degF_step`";
  }
  const std::string choice = unit_choice(type);
  return choice.empty() ? choice : "it could be in " + choice;
}

// What no gauge and no thermometer can show.
const char* impossible(double canonical, const Type& type) {
  constexpr double absolute_zero = -273.15;      // degC
  constexpr double deepest_vacuum = -108'500.0;  // Pa; the highest pressure ever measured at sea level (WMO)
  if (type.sort == Sort::temperature && canonical < absolute_zero) return "is below absolute zero";
  if (type.sort == Sort::absolute && canonical < 0) return "is below vacuum";
  if (type.sort == Sort::gauge && canonical < deepest_vacuum) return "is below vacuum";
  return nullptr;
}

// "10 years": people write a duration as they say it, and a reminder's interval is written so too.
std::string_view in_the_singular(std::string_view duration) {
  while (duration.ends_with(' ')) duration.remove_suffix(1);
  for (const std::string_view plural : {"weeks", "months", "years"}) {
    if (duration.ends_with(plural)) return duration.substr(0, duration.size() - 1);
  }
  return duration;
}

}  // namespace

Result<UnitValue> parse_unit_value(std::string_view text, UnitContext context) {
  const std::string_view whole = without_outer_spaces(text);
  const std::size_t first_digit = whole.starts_with('-') ? 1 : 0;
  if (whole.size() <= first_digit || !is_digit(whole[first_digit])) {
    return fault(fmt::format("`{}` does not begin with a number", whole),
                 whole.starts_with("−") ? "write the minus as `-`" : "write a number and its unit, as in `52 psi`");
  }
  double number = 0;
  const char* end = whole.data() + whole.size();
  const auto read = std::from_chars(whole.data(), end, number);
  const std::string_view digits = whole.substr(0, static_cast<std::size_t>(read.ptr - whole.data()));
  std::string_view rest = whole.substr(digits.size());
  if (read.ec != std::errc{} || !std::isfinite(number)) {
    return fault(fmt::format("`{}` is beyond the numbers of this program", digits));
  }
  if (!is_digit(digits.back())) return fault(fmt::format("`{}` ends without a digit", digits));
  if (rest.size() > 1 && rest[0] == ',' && is_digit(rest[1])) {
    return fault(fmt::format("`{}` has a comma in its number", whole), "the decimal sign is a point, as in `1.5`");
  }
  rest = without_outer_spaces(rest);
  if (rest.empty()) return UnitValue{number, {}, {}};
  if (rest.starts_with('/')) {
    return fault(fmt::format("`{}` has no unit before the `/`", whole), fmt::format("write `{} 1{}`", digits, rest));
  }
  const Result<Unit> unit = parse_unit(rest, context);
  if (!unit) return tl::unexpected<Fault>(unit.error());
  const double canonical = to_canonical(number, *unit);
  if (!std::isfinite(canonical)) return fault(fmt::format("`{}` is beyond the numbers of this program", whole));
  return UnitValue{canonical, *unit, std::string(rest)};
}

Result<double> parse_value_of_type(std::string_view text, const Type& type, bool bare_share, UnitContext context) {
  if (type == Type::duration()) text = in_the_singular(text);
  const Result<UnitValue> parsed = parse_unit_value(text, context);
  if (!parsed) return tl::unexpected<Fault>(parsed.error());
  const bool bare = parsed->unit_text.empty();
  const bool is_share = type.sort == Sort::number && type.dimension == dimension::none;
  const std::string_view written = without_outer_spaces(text);
  if (bare && is_share) {
    if (bare_share) return parsed->value;
    return fault(fmt::format("`{}` needs a unit", written), share_hint(parsed->value));
  }
  if (bare) {
    const std::string choice = unit_choice(type);
    return fault(fmt::format("`{}` needs a unit: {} is expected", written, describe(type)),
                 choice.empty() ? choice : "it could be in " + choice);
  }
  if (!unit_fits(parsed->unit, type)) {
    const bool point = parsed->unit.is_point;
    const std::string found = point ? describe(Type::temperature()) : describe(parsed->unit.dimension);
    return fault(fmt::format("`{}` is {}, not {}", written, found, describe(type)),
                 hint_for_wrong_unit(parsed->unit, type));
  }
  if (const char* why = impossible(parsed->value, type)) return fault(fmt::format("`{}` {}", written, why));
  return parsed->value;
}

std::span<const std::string_view> usual_units(const Type& type) {
  switch (type.sort) {
    case Sort::temperature:
      return temperature_units;
    case Sort::number:
    case Sort::gauge:
    case Sort::absolute:
      break;
    case Sort::instant:
    case Sort::boolean:
    case Sort::word:
    case Sort::code:
      return {};
  }
  const UsualUnits* row = usual_row(type.dimension);
  if (!row) return {};
  std::size_t count = 0;
  while (count < row->usual.size() && !row->usual[count].empty()) ++count;
  return std::span(row->usual).first(count);
}

std::string canonical_unit(const Type& type) {
  switch (type.sort) {
    case Sort::temperature:
      return "degC";
    case Sort::number:
    case Sort::gauge:
    case Sort::absolute:
      break;
    case Sort::instant:
    case Sort::boolean:
    case Sort::word:
    case Sort::code:
      return {};
  }
  const UsualUnits* row = usual_row(type.dimension);
  return row ? std::string(row->canonical) : compose(type.dimension);
}

}  // namespace overwinter
