// Values of a battery's explanations as the person reads them.
#pragma once

#include <string>
#include <string_view>

#include "rules/gear/explanation_printer.h"

namespace overwinter {

inline constexpr const char* no_battery_temperature = "the temperature of the battery, or of its place, is not known";

constexpr std::string_view whose(bool own) {
  return own ? "its own sensor" : "its place's air, with the acid's 6 h behind";
}

struct BatteryPrinter : ExplanationPrinter {
  std::string rate(double per_second) const { return show(per_second, Type::number(dimension::rate)); }
};

}  // namespace overwinter
