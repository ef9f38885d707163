#include "rules/quantity/age.h"

#include <fmt/format.h>

#include <algorithm>

namespace overwinter {

std::string age_text(Span age) {
  // In the greater unit from two of it on, and where it comes out even.
  const auto fits = [age](Span unit) { return age >= 2 * unit || (age >= unit && age % unit == Span{}); };
  if (fits(one_day)) return fmt::format("{} d", age / one_day);
  if (fits(one_hour)) return fmt::format("{} h", age / one_hour);
  if (age >= one_minute) return fmt::format("{} min", age / one_minute);
  return fmt::format("{} s", std::max(age, Span{}) / std::chrono::seconds(1));
}

std::string age_words(Span age) { return age < one_minute ? "just now" : age_text(age) + " ago"; }

}  // namespace overwinter
