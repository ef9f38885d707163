#include "rules/quantity/type.h"

#include <array>

#include "rules/quantity/unit.h"

namespace overwinter {
namespace {

struct NamedDimension {
  Dimension dimension;
  std::string_view name;
};

constexpr std::array named_dimensions{
    NamedDimension{dimension::none, "a number without unit"},
    NamedDimension{dimension::length, "a length"},
    NamedDimension{dimension::mass, "a mass"},
    NamedDimension{dimension::time, "a duration"},
    NamedDimension{dimension::current, "a current"},
    NamedDimension{dimension::temperature, "a temperature difference"},
    NamedDimension{dimension::volume, "a volume"},
    NamedDimension{dimension::pressure, "a pressure"},
    NamedDimension{dimension::energy, "an energy"},
    NamedDimension{dimension::power, "a power"},
    NamedDimension{dimension::voltage, "a voltage"},
    NamedDimension{dimension::charge, "a charge"},
    NamedDimension{dimension::rate, "a rate per time"},
    NamedDimension{dimension::density, "a mass per volume"},
    NamedDimension{dimension::specific_energy, "an energy per mass"},
    NamedDimension{dimension::pressure_rate, "a pressure per time"},
    NamedDimension{dimension::mass_per_area, "a mass per area"},
    NamedDimension{dimension::voltage_per_kelvin, "a voltage per temperature difference"},
    NamedDimension{dimension::irradiance, "a power per area"},
    NamedDimension{dimension::kelvin_time, "a temperature difference times a duration"},
};

}  // namespace

std::string describe(Dimension d) {
  for (const NamedDimension& named : named_dimensions) {
    if (named.dimension == d) return std::string(named.name);
  }
  return "a quantity in " + canonical_unit(Type::number(d));
}

std::string describe(const Type& type) {
  switch (type.sort) {
    case Sort::number:
      return describe(type.dimension);
    case Sort::temperature:
      return "a temperature";
    case Sort::gauge:
      return "a gauge pressure";
    case Sort::absolute:
      return "an absolute pressure";
    case Sort::instant:
      return "an instant";
    case Sort::boolean:
      return "yes or no";
    case Sort::word:
      return "a word";
    case Sort::code:
      return "a code of digits";
  }
  return {};
}

}  // namespace overwinter
