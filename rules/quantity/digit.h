// One of ASCII's ten, whatever the locale.
#pragma once

namespace overwinter {

constexpr bool is_digit(char c) { return c >= '0' && c <= '9'; }

}  // namespace overwinter
