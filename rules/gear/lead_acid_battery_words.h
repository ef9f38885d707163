// Values of a battery's explanations as the person reads them.
#pragma once

#include <string>
#include <string_view>

#include "rules/gear/model.h"
#include "rules/quantity/print.h"

namespace overwinter {

inline constexpr const char* no_battery_temperature = "the temperature of the battery, or of its place, is not known";

constexpr std::string_view whose(bool own) {
  return own ? "its own sensor" : "its place's air, with the acid's 6 h behind";
}

struct BatteryPrinter {
  const Surroundings& around;

  std::string show(double value, const Type& type, Shown shown = Shown::by_dimension) const {
    return print_value(value, type, shown, around.display_units(), around.zone(), around.now());
  }
  std::string temperature(double celsius) const { return show(celsius, Type::temperature()); }
  std::string step(double kelvin) const { return show(kelvin, Type::number(dimension::temperature)); }
  std::string percent(double share) const { return show(share, Type::share(), Shown::percent); }
  std::string rate(double per_second) const { return show(per_second, Type::number(dimension::rate)); }
  std::string duration(double seconds) const { return show(seconds, Type::duration()); }
  std::string date(Instant t) const { return print_date(t, around.display_units(), around.zone(), around.now()); }
  std::string date_and_time(Instant t) const {
    return print_date_and_time(t, around.display_units(), around.zone(), around.now());
  }
};

}  // namespace overwinter
