#include "rules/quantity/print.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "rules/quantity/code.h"
#include "rules/quantity/in_words.h"

namespace overwinter {
namespace {

constexpr std::array<std::string_view, 7> weekdays{"Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"};
constexpr std::array<std::string_view, 12> months{"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                                  "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};

// How a unit that we know prints.
struct Printed {
  std::string_view unit;    // as parse_unit reads it
  std::string_view symbol;  // as a person sees it
  int decimals;             // about what instruments of a household show
  int decimals_below_ten;
};

constexpr std::array printed_table{
    Printed{"degC", "°C", 1, 1},
    Printed{"degC_step", "°C", 1, 1},
    Printed{"K", "K", 1, 1},
    Printed{"degF", "°F", 0, 0},
    Printed{"degF_step", "°F", 0, 0},
    Printed{"psi", "psi", 1, 1},
    Printed{"kPa", "kPa", 1, 1},
    Printed{"bar", "bar", 2, 2},
    Printed{"hPa", "hPa", 0, 1},
    Printed{"inHg", "inHg", 2, 2},
    Printed{"%", "%", 0, 0},
    Printed{"V", "V", 2, 2},
    Printed{"A", "A", 1, 2},
    Printed{"Ah", "Ah", 0, 1},
    Printed{"Wh", "Wh", 0, 1},
    Printed{"W", "W", 0, 1},
    Printed{"inch", "in", 0, 1},
    Printed{"cm", "cm", 0, 1},
    Printed{"gal", "gal", 1, 1},
    Printed{"L", "L", 0, 1},
    Printed{"lb", "lb", 0, 1},
    Printed{"kg", "kg", 1, 1},
    Printed{"g/m^3", "g/m³", 1, 1},
    Printed{"kJ/kg", "kJ/kg", 1, 1},
    Printed{"%/d", "%/d", 1, 2},
    Printed{"psi/week", "psi/week", 1, 1},
    Printed{"kPa/week", "kPa/week", 0, 1},
    Printed{"bar/week", "bar/week", 2, 2},
    Printed{"K/h", "°C/h", 1, 1},
    Printed{"degF_step/h", "°F/h", 1, 1},
    Printed{"mV/h", "mV/h", 1, 1},
    Printed{"mV/K", "mV/K", 0, 1},
    Printed{"psi/degF_step", "psi/°F", 2, 2},
    Printed{"g/m^2", "g/m²", 0, 0},
    Printed{"kg/m^2", "kg/m²", 0, 1},
    Printed{"lb/ft^2", "lb/ft²", 0, 1},
    Printed{"W/m^2", "W/m²", 0, 0},
    Printed{"K.d", "°C·d", 0, 1},
    Printed{"degF_step.d", "°F·d", 0, 1},
    Printed{"d", "d", 0, 1},
    Printed{"h", "h", 0, 1},
    Printed{"min", "min", 0, 0},
    Printed{"s", "s", 0, 0},
};

const Printed* find_printed(std::string_view symbol) {
  const auto* const found = std::find_if(printed_table.begin(), printed_table.end(),
                                         [&](const Printed& p) { return p.unit == symbol || p.symbol == symbol; });
  return found == printed_table.end() ? nullptr : found;
}

// Three significant digits, for what has no unit in the table; from 1 to 2 four, as a hydrometer shows them: 1.265.
int decimals_without_unit(double value) {
  if (value == 0 || !std::isfinite(value)) return 0;
  const double size = std::abs(value);
  if (size >= 1 && size < 2 && size != std::round(size)) return 3;
  return std::clamp(2 - static_cast<int>(std::floor(std::log10(size))), 0, 12);
}

// Of vapor a pressure may be a hundredth of its unit: two significant digits at least. A tire's gauge shows no more at
// zero than elsewhere.
int decimals_of_small_pressure(double value) {
  const double size = std::abs(value);
  constexpr double least = 1e-4;
  return size < least || !std::isfinite(size) ? 0 : 1 - static_cast<int>(std::floor(std::log10(size)));
}

int decimals_for(double value, std::string_view symbol, const Type& type, Shown shown) {
  const Printed* printed = find_printed(symbol);
  if (!printed) return decimals_without_unit(value);
  const int usual = std::abs(value) < 10 ? printed->decimals_below_ten : printed->decimals;
  const bool may_be_small = type.dimension == dimension::pressure && shown != Shown::tire_pressure;
  return may_be_small ? std::max(usual, decimals_of_small_pressure(value)) : usual;
}

// Fixed decimals, and no "-0.0".
std::string fixed(double value, int decimals) {
  std::string text = fmt::format("{:.{}f}", value, decimals);
  if (text.starts_with('-') && text.find_first_of("123456789") == std::string::npos) text.erase(0, 1);
  return text;
}

// A unit as a person sees it, when it is none of the table: m³ for m^3.
std::string raised(std::string_view symbol) {
  std::string text(symbol);
  for (const auto& [written, shown] : {std::pair{"^2", "²"}, std::pair{"^3", "³"}}) {
    for (auto at = text.find(written); at != std::string::npos; at = text.find(written)) text.replace(at, 2, shown);
  }
  return text;
}

std::string symbol_seen(std::string_view symbol) {
  const Printed* printed = find_printed(symbol);
  return printed ? std::string(printed->symbol) : raised(symbol == "1" ? "" : symbol);
}

std::string with_symbol(std::string number, std::string_view symbol) {
  if (!symbol.empty()) number.append(" ").append(symbol);
  return number;
}

DisplayUnit known(std::string_view unit) {
  const Printed* printed = find_printed(unit);
  return {printed ? printed->symbol : unit, parse_unit(unit, UnitContext::expression).value_or(Unit{})};
}

struct ByDimension {
  Dimension dimension;
  std::string_view metric, us;
};

constexpr std::array by_dimension_table{
    ByDimension{dimension::pressure, "kPa", "psi"},
    ByDimension{dimension::length, "cm", "inch"},
    ByDimension{dimension::mass, "kg", "lb"},
    ByDimension{dimension::volume, "L", "gal"},
    ByDimension{dimension::temperature, "degC_step", "degF_step"},
    ByDimension{dimension::current, "A", "A"},
    ByDimension{dimension::charge, "Ah", "Ah"},
    ByDimension{dimension::voltage, "V", "V"},
    ByDimension{dimension::power, "W", "W"},
    ByDimension{dimension::energy, "Wh", "Wh"},
    ByDimension{dimension::time, "h", "h"},
    ByDimension{dimension::rate, "%/d", "%/d"},
    ByDimension{dimension::density, "g/m^3", "g/m^3"},
    ByDimension{dimension::specific_energy, "kJ/kg", "kJ/kg"},
    ByDimension{dimension::pressure_rate, "kPa/week", "psi/week"},
    ByDimension{dimension::temperature - dimension::time, "K/h", "degF_step/h"},
    ByDimension{dimension::voltage - dimension::time, "mV/h", "mV/h"},
    ByDimension{dimension::pressure - dimension::temperature, "kPa/K", "psi/degF_step"},
    ByDimension{dimension::mass_per_area, "g/m^2", "g/m^2"},
    ByDimension{dimension::voltage_per_kelvin, "mV/K", "mV/K"},
    ByDimension{dimension::irradiance, "W/m^2", "W/m^2"},
    ByDimension{dimension::kelvin_time, "K.d", "degF_step.d"},
};

// The unit in which a duration reads best: 45 s, 25 min, 3 h, 2.5 d.
std::string_view duration_unit(double seconds) {
  const double size = std::abs(seconds);
  if (size < 59.5) return "s";
  if (size < 59.5 * 60) return "min";
  if (size < 47.95 * 3600) return "h";
  return "d";
}

std::string print_duration(double seconds) {
  const DisplayUnit unit = known(duration_unit(seconds));
  const double value = from_canonical(seconds, unit.unit);
  std::string number = fixed(value, decimals_for(value, unit.symbol, Type::duration(), Shown::by_dimension));
  if (number.ends_with(".0")) number.resize(number.size() - 2);
  return with_symbol(std::move(number), unit.symbol);
}

// The place of the last digit that an uncertainty keeps, as a power of ten: one significant digit, two if the first
// is 1.
int last_place(double plus_minus) {
  const int leading = static_cast<int>(std::floor(std::log10(plus_minus) + 1e-12));
  const double first_digit = plus_minus / std::pow(10.0, leading);
  return first_digit < 2.0 - 1e-9 ? leading - 1 : leading;
}

// Rounded up; what is off by less than a billionth is arithmetic, not uncertainty.
std::string rounded_up(double plus_minus) {
  const int place = last_place(plus_minus);
  const double step = std::pow(10.0, place);
  return fixed(std::ceil(plus_minus / step * (1 - 1e-9)) * step, std::clamp(-place, 0, 12));
}

std::string print_pair(double value, double plus_minus, std::string_view symbol) {
  const int place = last_place(plus_minus);
  const double step = std::pow(10.0, place);
  const std::string rounded = fixed(std::round(value / step) * step, std::clamp(-place, 0, 12));
  return with_symbol(fmt::format("{} ± {}", rounded, rounded_up(plus_minus)), symbol);
}

// The unit in which a value is seen: of a duration the one that reads best, and one that has no name composed.
struct SeenUnit {
  Unit unit;
  std::string symbol;
};

SeenUnit seen_unit(double canonical, const Type& type, Shown shown, DisplayUnits units) {
  const DisplayUnit unit =
      type.dimension == dimension::time ? known(duration_unit(canonical)) : display_unit(type, shown, units);
  const bool composed = unit.symbol.empty() && type.dimension != dimension::none;
  return {unit.unit, composed ? canonical_unit(type) : std::string(unit.symbol)};
}

}  // namespace

DisplayUnit display_unit(const Type& type, Shown shown, DisplayUnits units) {
  const bool us = units == DisplayUnits::us;
  if (type.sort == Sort::temperature) return known(us ? "degF" : "degC");
  if (!type.is_numeric() || type.sort == Sort::instant) return {};
  if (type.dimension == dimension::none) return shown == Shown::percent ? known("%") : DisplayUnit{};
  if (shown == Shown::tire_pressure && !us) {
    if (type.dimension == dimension::pressure) return known("bar");
    if (type.dimension == dimension::pressure_rate) return known("bar/week");
  }
  for (const ByDimension& row : by_dimension_table) {
    if (row.dimension == type.dimension) return known(us ? row.us : row.metric);
  }
  // A dimension without a usual unit prints in its canonical one, whose name print_value composes.
  return {{}, Unit{type.dimension, 1, 0, false}};
}

std::string print_value(double canonical, const Type& type, Shown shown, DisplayUnits units, const TimeZone& zone,
                        Instant now) {
  switch (type.sort) {
    case Sort::boolean:
      return canonical != 0 ? "yes" : "no";
    case Sort::word: {
      const auto index = static_cast<std::size_t>(std::max(canonical, 0.0));
      return in_words(std::string(index < type.words.size() ? type.words[index] : std::string_view("unknown")));
    }
    case Sort::code:
      return digits_of_code(canonical);
    case Sort::instant:
      return print_date(instant_from_seconds(canonical), units, zone, now);
    case Sort::number:
    case Sort::temperature:
    case Sort::gauge:
    case Sort::absolute:
      break;
  }
  if (type.dimension == dimension::time) return print_duration(canonical);
  const SeenUnit seen = seen_unit(canonical, type, shown, units);
  const double value = from_canonical(canonical, seen.unit);
  return with_symbol(fixed(value, decimals_for(value, seen.symbol, type, shown)), seen.symbol);
}

std::string print_answer(double canonical, const Type& type, Shown shown, DisplayUnits units, const TimeZone& zone,
                         Instant now) {
  const bool is_counted = type.is_numeric() && type.sort != Sort::temperature && type.sort != Sort::instant;
  if (!is_counted || canonical == 0) return print_value(canonical, type, shown, units, zone, now);
  const SeenUnit seen = seen_unit(canonical, type, shown, units);
  const double value = from_canonical(canonical, seen.unit);
  constexpr double least = 1e-6;  // below, zeros are harder to count than an exponent is to read
  if (std::abs(value) < least) return with_symbol(fmt::format("{:.3g}", value), seen.symbol);
  const int usual = decimals_for(value, seen.symbol, type, shown);
  std::string number = fixed(value, std::max(usual, decimals_without_unit(value)));
  if (type.dimension == dimension::time && number.find('.') != std::string::npos) {
    number.resize(number.find_last_not_of('0') + 1);
    if (number.ends_with('.')) number.pop_back();
  }
  return with_symbol(std::move(number), seen.symbol);
}

std::string print_with_uncertainty(double canonical, double plus_minus, const Type& type, Shown shown,
                                   DisplayUnits units) {
  const bool has_uncertainty = std::isfinite(plus_minus) && plus_minus > 0;
  if (!has_uncertainty || !type.is_numeric() || type.sort == Sort::instant) {
    return print_value(canonical, type, shown, units, TimeZone{}, Instant{});
  }
  const SeenUnit seen = seen_unit(canonical, type, shown, units);
  return print_pair(from_canonical(canonical, seen.unit), plus_minus / seen.unit.scale, seen.symbol);
}

std::string print_uncertainty(double plus_minus, const Type& type, Shown shown, DisplayUnits units) {
  const bool is_one = std::isfinite(plus_minus) && plus_minus > 0;
  if (!is_one || !type.is_numeric()) return print_value(plus_minus, type, shown, units, TimeZone{}, Instant{});
  const SeenUnit seen = seen_unit(plus_minus, type, shown, units);
  return with_symbol(rounded_up(plus_minus / seen.unit.scale), seen.symbol);
}

std::string print_uncertainty_in_unit(double plus_minus, const Unit& unit, std::string_view symbol) {
  const bool is_one = std::isfinite(plus_minus) && plus_minus > 0;
  return with_symbol(is_one ? rounded_up(plus_minus / unit.scale) : "0", symbol_seen(symbol));
}

std::string print_in_unit(double canonical, double plus_minus, const Type& type, Shown shown, const Unit& unit,
                          std::string_view symbol) {
  if (!type.is_numeric()) return {};
  const double value = from_canonical(canonical, unit);
  const std::string seen = symbol_seen(symbol);
  if (std::isfinite(plus_minus) && plus_minus > 0) return print_pair(value, plus_minus / unit.scale, seen);
  return with_symbol(fixed(value, decimals_for(value, symbol, type, shown)), seen);
}

std::string as_sentence(std::string text) {
  if (!text.empty() && text.front() >= 'a' && text.front() <= 'z')
    text.front() = static_cast<char>(text.front() - 'a' + 'A');
  return text;
}

std::string print_date(Instant t, DisplayUnits units, const TimeZone& zone, Instant now) {
  const std::chrono::year_month_day date = to_local(t, zone).date;
  const std::string_view weekday = weekdays[std::chrono::weekday(std::chrono::sys_days(date)).c_encoding()];
  const std::string_view month = months[static_cast<unsigned>(date.month()) - 1];
  const unsigned day = static_cast<unsigned>(date.day());
  std::string text = units == DisplayUnits::us ? fmt::format("{} {} {}", weekday, month, day)
                                               : fmt::format("{} {} {}", weekday, day, month);
  if (date.year() != to_local(now, zone).date.year()) text += fmt::format(" {}", static_cast<int>(date.year()));
  return text;
}

std::string print_date_and_time(Instant t, DisplayUnits units, const TimeZone& zone, Instant now) {
  const auto minutes = std::chrono::duration_cast<std::chrono::minutes>(to_local(t, zone).since_midnight).count();
  return fmt::format("{} {:02}:{:02}", print_date(t, units, zone, now), minutes / 60, minutes % 60);
}

}  // namespace overwinter
