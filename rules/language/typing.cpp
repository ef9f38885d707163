#include "rules/language/typing.h"

#include <fmt/format.h>

#include <cstdlib>

#include "rules/quantity/unit.h"

namespace overwinter {
namespace {

constexpr std::string_view difference_units = "a difference is written in `K`, `degC_step` or `degF_step`";
constexpr std::string_view other_sort = "`absolute(x)` and `gauge(x)` turn one into the other";
constexpr std::string_view pressure_step = "subtract one pressure from another of its sort to get a difference";
// No unit of this work comes near, and a Dimension holds eight bits of each exponent.
constexpr int largest_exponent = 12;

constexpr Type difference_of_pressure = Type::number(dimension::pressure);

bool is_plain_number(const Type& t) { return t.sort == Sort::number && t.dimension == dimension::none; }
bool is_pressure_point(const Type& t) { return t.sort == Sort::gauge || t.sort == Sort::absolute; }
bool is_duration(const Type& t) { return t.sort == Sort::number && t.dimension == dimension::time; }
bool is_temperature_step(const Type& t) { return t.sort == Sort::number && t.dimension == dimension::temperature; }

Type with_literal(Type type, bool literal) {
  type.literal = literal;
  return type;
}

std::string pair_of(const Type& a, const Type& b) { return fmt::format("{} and {}", describe(a), describe(b)); }

std::string unit_list(const Type& type) {
  std::string list;
  for (const std::string_view unit : usual_units(type)) list += fmt::format("{}`{}`", list.empty() ? "" : ", ", unit);
  return list;
}

tl::unexpected<Fault> different(std::string_view what, const Type& a, const Type& b) {
  std::string hint = "both sides need the same dimension";
  if (const std::string units = unit_list(a); !units.empty())
    hint += fmt::format("; {} is written in {}", describe(a), units);
  return fault(fmt::format("{} {}", pair_of(a, b), what), std::move(hint));
}

tl::unexpected<Fault> no_arithmetic(const Type& t) {
  return fault(
      fmt::format("{} cannot be calculated with", describe(t)),
      t.sort == Sort::boolean ? "use `if a then b else c` to make a number of it" : "compare it with `==` or `!=`");
}

Result<Type> sum_of_temperatures(const Type& a, const Type& b, bool subtract) {
  if (a.sort == b.sort) {
    if (subtract) return Type::number(dimension::temperature);
    return fault("two temperatures cannot be added",
                 fmt::format("one of them must be a difference: {}", difference_units));
  }
  const Type& other = a.sort == Sort::temperature ? b : a;
  if (!is_temperature_step(other)) return different(subtract ? "cannot be subtracted" : "cannot be added", a, b);
  if (subtract && b.sort == Sort::temperature) {
    return fault("a temperature cannot be subtracted from a difference",
                 fmt::format("write the temperature first; {}", difference_units));
  }
  return Type::temperature();
}

Result<Type> sum_of_instants(const Type& a, const Type& b, bool subtract) {
  if (a.sort == b.sort) {
    if (subtract) return Type::duration();
    return fault("two instants cannot be added", "add a duration, as in `now + 7 d`");
  }
  const Type& other = a.sort == Sort::instant ? b : a;
  if (!is_duration(other)) return different(subtract ? "cannot be subtracted" : "cannot be added", a, b);
  if (subtract && b.sort == Sort::instant) {
    return fault("an instant cannot be subtracted from a duration", "write the instant first");
  }
  return Type::instant();
}

Result<Type> sum_of_pressures(const Type& a, const Type& b, bool subtract) {
  if (!is_pressure_point(a) && !is_pressure_point(b))
    return with_literal(difference_of_pressure, a.literal && b.literal);
  if (is_pressure_point(a) && is_pressure_point(b)) {
    if (a.sort != b.sort) {
      return fault(fmt::format("{} cannot be {}", pair_of(a, b), subtract ? "subtracted" : "added"),
                   std::string(other_sort));
    }
    if (subtract) return difference_of_pressure;
    return fault(fmt::format("two {} pressures cannot be added", a.sort == Sort::gauge ? "gauge" : "absolute"),
                 "one of them must be a difference: subtract one pressure from another of its sort");
  }
  const Type& point = is_pressure_point(a) ? a : b;
  if (subtract && is_pressure_point(b) && !a.literal) {
    return fault(fmt::format("{} cannot be subtracted from a pressure difference", describe(point)),
                 "write the pressure first");
  }
  return point;
}

Result<Type> of_dimension(const Type& a, const Type& b, int sign) {
  const auto exponent_fits = [sign](std::int8_t x, std::int8_t y) {
    return std::abs(x + sign * y) <= largest_exponent;
  };
  const Dimension x = a.dimension;
  const Dimension y = b.dimension;
  if (!exponent_fits(x.length, y.length) || !exponent_fits(x.mass, y.mass) || !exponent_fits(x.time, y.time) ||
      !exponent_fits(x.current, y.current) || !exponent_fits(x.temperature, y.temperature)) {
    return fault("too many powers of a unit", "divide by a unit of the same dimension first");
  }
  return Type::number(sign > 0 ? x + y : x - y);
}

// Points have no zero that could be scaled.
Result<Type> no_scaling(const Type& t, std::string_view verb) {
  if (t.sort == Sort::temperature) {
    return fault(fmt::format("a temperature cannot be {}", verb),
                 fmt::format("subtract another temperature first; {}", difference_units));
  }
  if (t.sort == Sort::instant) {
    return fault(fmt::format("an instant cannot be {}", verb), "subtract another instant first, as in `now - x.at`");
  }
  return no_arithmetic(t);
}

bool is_scalable(const Type& t) { return t.sort == Sort::number || is_pressure_point(t); }

}  // namespace

Result<Type> sum_type(const Type& a, const Type& b, bool subtract) {
  if (!a.is_numeric()) return no_arithmetic(a);
  if (!b.is_numeric()) return no_arithmetic(b);
  if (a.sort == Sort::temperature || b.sort == Sort::temperature) return sum_of_temperatures(a, b, subtract);
  if (a.sort == Sort::instant || b.sort == Sort::instant) return sum_of_instants(a, b, subtract);
  if (a.dimension != b.dimension) return different(subtract ? "cannot be subtracted" : "cannot be added", a, b);
  if (is_pressure(a)) return sum_of_pressures(a, b, subtract);
  return Type::number(a.dimension);
}

Result<Type> product_type(const Type& a, const Type& b) {
  if (!is_scalable(a)) return no_scaling(a, "multiplied");
  if (!is_scalable(b)) return no_scaling(b, "multiplied");
  if (is_plain_number(b)) return a;
  if (is_plain_number(a)) return b;
  return of_dimension(a, b, 1);
}

Result<Type> quotient_type(const Type& a, const Type& b) {
  if (!is_scalable(a)) return no_scaling(a, "divided");
  if (!is_scalable(b)) return no_scaling(b, "divided by");
  if (is_plain_number(b)) return a;
  if (is_pressure_point(a) && is_pressure_point(b) && a.sort != b.sort) {
    return fault(fmt::format("{} cannot be divided", pair_of(a, b)), std::string(other_sort));
  }
  return of_dimension(a, b, -1);
}

Result<Type> negative_type(const Type& x) {
  if (x.sort == Sort::temperature) {
    return fault("a temperature cannot be negated",
                 fmt::format("a temperature below zero is written `-5 degC`; {}", difference_units));
  }
  if (x.sort == Sort::instant) return fault("an instant cannot be negated", "subtract it from another instant");
  if (x.sort == Sort::boolean) return fault("yes or no cannot be negated with `-`", "write `not`");
  if (!x.is_numeric()) return no_arithmetic(x);
  return x;
}

Result<Type> common_type(const Type& a, const Type& b) {
  if (a.sort == Sort::word && b.sort == Sort::word) {
    if (same_words(a, b)) return a;
    return fault("words of two different lists", "compare each with a word in double quotes");
  }
  if (a.sort == b.sort && a.dimension == b.dimension) return with_literal(a, a.literal && b.literal);
  if (is_pressure(a) && is_pressure(b)) {
    if (a.literal) return b;
    if (b.literal) return a;
    const bool points = is_pressure_point(a) && is_pressure_point(b);
    const auto name = [](const Type& t) {
      return is_pressure_point(t) ? describe(t) : std::string("a pressure difference");
    };
    return fault(fmt::format("{} and {} do not go together", name(a), name(b)),
                 std::string(points ? other_sort : pressure_step));
  }
  if ((a.sort == Sort::temperature && is_temperature_step(b)) ||
      (b.sort == Sort::temperature && is_temperature_step(a))) {
    return fault("a temperature and a temperature difference do not go together",
                 fmt::format("`degC` and `degF` are temperatures; {}", difference_units));
  }
  if ((a.sort == Sort::instant && is_duration(b)) || (b.sort == Sort::instant && is_duration(a))) {
    return fault("an instant and a duration do not go together",
                 "subtract one instant from another to get a duration, as in `now - x.at`");
  }
  if (!a.is_numeric() || !b.is_numeric())
    return fault(fmt::format("{} do not go together", pair_of(a, b)), "both sides must be of one kind");
  return different("do not go together", a, b);
}

bool accepts(const Type& parameter, const Type& argument) {
  if (is_pressure(parameter) && is_pressure(argument) && argument.literal) return true;
  return parameter.sort == argument.sort && parameter.dimension == argument.dimension;
}

std::string how_to_turn(const Type& argument, const Type& parameter) {
  if (parameter.sort == Sort::absolute && argument.sort == Sort::gauge) return "write `absolute(x)`";
  if (parameter.sort == Sort::gauge && argument.sort == Sort::absolute) return "write `gauge(x)`";
  if (is_pressure(parameter) && is_pressure(argument)) return std::string(pressure_step);
  if (parameter.sort == Sort::temperature && is_temperature_step(argument)) {
    return "`K` is a difference; a temperature is written in `degC` or `degF`";
  }
  if (is_temperature_step(parameter) && argument.sort == Sort::temperature) return std::string(difference_units);
  if (parameter.sort == Sort::word) return "a word stands in double quotes";
  if (parameter.sort == Sort::code) return "write its digits in double quotes, as in \"2424\"";
  const std::string units = unit_list(parameter);
  return units.empty() ? fmt::format("{} belongs here", describe(parameter))
                       : fmt::format("{} is written in {}", describe(parameter), units);
}

}  // namespace overwinter
