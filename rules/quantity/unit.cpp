// Parsing of unit texts: UNIT := FACTOR { ("." | "/") FACTOR }, FACTOR := SYMBOL [ "^" DIGIT ].
// Product and quotient have the same precedence, from the left, as in the SI Brochure's single-line form and UCUM.
#include "rules/quantity/unit.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <vector>

#include "rules/limits.h"

namespace overwinter {
namespace {

struct Spelling {
  std::string_view written, meant;
};

// Accepted beside the symbols.
constexpr std::array accepted{Spelling{"°C", "degC"}, Spelling{"°F", "degF"}, Spelling{"³", "^3"}, Spelling{"²", "^2"}};

struct Mistake {
  std::string_view written, hint;
};

// What people write, and what they should have written.
constexpr std::array mistakes{
    Mistake{"F", "`F` is the farad; a temperature is `degF`"},
    Mistake{"C", "`C` is the coulomb; a temperature is `degC`"},
    Mistake{"f", "a temperature is `degF`"},
    Mistake{"c", "a temperature is `degC`"},
    Mistake{"Gal", "`Gal` is an acceleration; the gallon is `gal` (US)"},
    Mistake{"gallon", "the gallon is `gal` (US)"},
    Mistake{"gallons", "the gallon is `gal` (US)"},
    Mistake{"gals", "the gallon is `gal` (US)"},
    Mistake{"fahrenheit", "write `degF`"},
    Mistake{"celsius", "write `degC`"},
    Mistake{"deg", "write `degC` or `degF`"},
    Mistake{"°", "write `degC` or `degF`"},
    Mistake{"°K", "write `K`"},
    Mistake{"kelvin", "write `K`"},
    Mistake{"percent", "write `%`"},
    Mistake{"sec", "write `s`"},
    Mistake{"seconds", "write `s`"},
    Mistake{"minutes", "write `min`"},
    Mistake{"hr", "write `h`"},
    Mistake{"hrs", "write `h`"},
    Mistake{"hour", "write `h`"},
    Mistake{"hours", "write `h`"},
    Mistake{"day", "write `d`"},
    Mistake{"days", "write `d`"},
    Mistake{"mo", "write `month`"},
    Mistake{"yr", "write `year`"},
    Mistake{"inches", "write `inch`"},
    Mistake{"feet", "write `ft`"},
    Mistake{"liter", "write `L`"},
    Mistake{"liters", "write `L`"},
    Mistake{"lbs", "write `lb`"},
    Mistake{"psig", "write `psi`; whether it is gauge or absolute is said by the quantity"},
    Mistake{"psia", "write `psi`; whether it is gauge or absolute is said by the quantity"},
};

std::string with_plain_spelling(std::string_view text) {
  std::string plain(text);
  for (const Spelling& spelling : accepted) {
    for (auto at = plain.find(spelling.written); at != std::string::npos; at = plain.find(spelling.written)) {
      plain.replace(at, spelling.written.size(), spelling.meant);
    }
  }
  return plain;
}

std::string lower(std::string_view text) {
  std::string out(text);
  for (char& c : out) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return out;
}

const Unit* find_symbol(std::string_view symbol) {
  const auto table = unit_symbols();
  const auto found = std::find_if(table.begin(), table.end(), [&](const UnitSymbol& s) { return s.symbol == symbol; });
  return found == table.end() ? nullptr : &found->unit;
}

struct Factor {
  std::string_view symbol;
  int exponent = 1;
};

// Splits "m^3" into its symbol and exponent; exponent 0 when it is malformed.
Factor read_factor(std::string_view text) {
  const std::size_t caret = text.find('^');
  if (caret == std::string_view::npos) return {text, 1};
  const std::string_view digits = text.substr(caret + 1);
  const bool one_digit = digits.size() == 1 && digits[0] >= '1' && digits[0] <= '0' + limits::unit_exponent;
  return {text.substr(0, caret), one_digit ? digits[0] - '0' : 0};
}

std::string hint_for(std::string_view symbol, std::string_view whole) {
  for (const Mistake& mistake : mistakes) {
    if (mistake.written == symbol) return std::string(mistake.hint);
  }
  std::vector<std::string_view> symbols;
  for (const UnitSymbol& row : unit_symbols()) {
    if (lower(row.symbol) == lower(symbol)) return fmt::format("did you mean `{}`?", row.symbol);
    symbols.push_back(row.symbol);
  }
  const std::size_t digits = symbol.find_first_of("0123456789");
  if (digits != std::string_view::npos && digits > 0 && find_symbol(symbol.substr(0, digits))) {
    const std::string power = fmt::format("{}^{}", symbol.substr(0, digits), symbol.substr(digits));
    if (read_factor(power).exponent != 0) return fmt::format("did you mean `{}`?", power);
  }
  if (const auto nearest = nearest_word(symbol, symbols)) return fmt::format("did you mean `{}`?", *nearest);
  if (whole.find('/') != std::string_view::npos) return "to divide, write spaces around `/`, as in `3 psi / 7 d`";
  return {};
}

// What a product has so far; exponents are wider here than in Dimension.
class Product {
 public:
  // False when an exponent would leave what Dimension can hold.
  bool multiply(const Unit& unit, int exponent) {
    const std::array<int, 5> add{unit.dimension.length, unit.dimension.mass, unit.dimension.time,
                                 unit.dimension.current, unit.dimension.temperature};
    for (std::size_t i = 0; i < add.size(); ++i) exponents_[i] += add[i] * exponent;
    for (int i = 0; i < exponent; ++i) scale_ *= unit.scale;
    for (int i = 0; i > exponent; --i) scale_ /= unit.scale;
    return std::all_of(exponents_.begin(), exponents_.end(), [](int e) { return e >= -30 && e <= 30; });
  }

  Unit unit() const {
    const auto at = [this](std::size_t i) { return static_cast<std::int8_t>(exponents_[i]); };
    return {{at(0), at(1), at(2), at(3), at(4)}, scale_, 0, false};
  }

 private:
  std::array<int, 5> exponents_{};
  double scale_ = 1;
};

}  // namespace

Result<Unit> parse_unit(std::string_view text, UnitContext context) {
  if (text.empty()) return fault("a unit is missing");
  if (text.size() > limits::unit_characters) {
    return fault(fmt::format("a unit has at most {} characters", limits::unit_characters));
  }
  if (text.find(' ') != std::string_view::npos) {
    return fault(fmt::format("`{}` is not a unit: a unit has no spaces", text),
                 "write a compound in one run: `psi/week`, `g/m^3`");
  }
  const std::string plain = with_plain_spelling(text);
  const std::string_view run = plain;
  Product product;
  std::size_t at = 0;
  for (int sign = 1;;) {
    const std::size_t end = std::min(run.find_first_of("./", at), run.size());
    const Factor factor = read_factor(run.substr(at, end - at));
    if (factor.exponent == 0) {
      return fault(fmt::format("`{}` is not a unit", text),
                   fmt::format("an exponent is one digit from 1 to {}, as in `m^3`", limits::unit_exponent));
    }
    if (factor.symbol == "in" && context == UnitContext::expression) {
      return fault("`in` is a word of the language here, not a unit", "the inch is `inch`");
    }
    const Unit* unit = find_symbol(factor.symbol);
    const bool alone = end == run.size() && at == 0 && factor.exponent == 1;
    if (!unit) {
      return fault(alone || factor.symbol.empty() ? fmt::format("`{}` is not a unit", text)
                                                  : fmt::format("`{}` in `{}` is not a unit", factor.symbol, text),
                   hint_for(factor.symbol, run));
    }
    if (alone) return *unit;
    if (!product.multiply(*unit, sign * factor.exponent)) return fault(fmt::format("`{}` is not a unit", text));
    if (end == run.size()) break;
    sign = run[end] == '/' ? -1 : 1;
    at = end + 1;
  }
  return product.unit();
}

bool unit_fits(const Unit& unit, const Type& type) {
  switch (type.sort) {
    case Sort::number:
      return unit.dimension == type.dimension && !unit.is_point;
    case Sort::temperature:
      return unit.is_point;
    case Sort::gauge:
    case Sort::absolute:
      return unit.dimension == dimension::pressure;
    case Sort::instant:
    case Sort::boolean:
    case Sort::word:
    case Sort::code:
      return false;
  }
  return false;
}

double from_canonical(double canonical, const Unit& unit) { return (canonical - unit.offset) / unit.scale; }

// A thousandth is no binary number and a thousand is one: divided, 3300 mV are 3.3 V to the last bit.
double to_canonical(double value, const Unit& unit) {
  const double parts = 1 / unit.scale;
  const bool is_part = parts > 1 && parts == std::round(parts);
  return (is_part ? value / parts : value * unit.scale) + unit.offset;
}

}  // namespace overwinter
