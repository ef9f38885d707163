#include "rules/quantity/code.h"

#include <algorithm>

#include "rules/quantity/digit.h"

namespace overwinter {
namespace {

constexpr std::size_t longest = 8;

constexpr double count_of_digits = 1e8;  // in the number; more than the longest code reads

}  // namespace

std::optional<double> number_of_code(std::string_view digits) {
  if (digits.empty() || digits.size() > longest || !std::ranges::all_of(digits, is_digit)) return std::nullopt;
  double number = 0;
  for (const char digit : digits) number = 10 * number + (digit - '0');
  return count_of_digits * static_cast<double>(digits.size()) + number;
}

std::string digits_of_code(double number) {
  if (!(number >= count_of_digits && number < (longest + 1) * count_of_digits)) return {};
  const auto told = static_cast<std::int64_t>(number);
  const auto size = static_cast<std::size_t>(told / static_cast<std::int64_t>(count_of_digits));
  std::string digits = std::to_string(told % static_cast<std::int64_t>(count_of_digits));
  if (digits.size() > size) return {};
  digits.insert(0, size - digits.size(), '0');
  return digits;
}

}  // namespace overwinter
