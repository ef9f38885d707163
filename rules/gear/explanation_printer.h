// Values in the lines of an explanation, as the person reads them.
#pragma once

#include <string>

#include "rules/gear/model.h"
#include "rules/quantity/print.h"

namespace overwinter {

// Each kind adds the quantities of its own.
struct ExplanationPrinter {
  const Surroundings& around;

  std::string show(double value, const Type& type, Shown shown = Shown::by_dimension) const {
    return print_value(value, type, shown, around.display_units(), around.zone(), around.now());
  }
  std::string temperature(double celsius) const { return show(celsius, Type::temperature()); }
  std::string difference(double kelvin) const { return show(kelvin, Type::number(dimension::temperature)); }
  std::string percent(double share) const { return show(share, Type::share(), Shown::percent); }
  std::string duration(double seconds) const { return show(seconds, Type::duration()); }
  std::string duration(Span span) const { return duration(to_seconds(span)); }
  std::string date(Instant t) const { return print_date(t, around.display_units(), around.zone(), around.now()); }
  std::string date_and_time(Instant t) const {
    return print_date_and_time(t, around.display_units(), around.zone(), around.now());
  }
};

}  // namespace overwinter
