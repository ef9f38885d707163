// A code of digits, as in a tire's date code, as a number: how many digits it has, times 100 000 000, and what they
// read. "0120" is 400 000 120, so that leading zeros count.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace overwinter {

// Nothing where it is no code of one to eight digits.
std::optional<double> number_of_code(std::string_view digits);

// Empty where the number is of no code.
std::string digits_of_code(double number);

}  // namespace overwinter
