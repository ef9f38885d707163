// Where a command writes, and its exit codes: the same in the program and in tests.
#pragma once

#include <iosfwd>

namespace overwinter {

struct Console {
  std::ostream& out;
  std::ostream& err;
  bool out_is_terminal = false;
  bool err_is_terminal = false;
};

inline constexpr int exit_done = 0;
inline constexpr int exit_no = 1;  // not valid, refused, no value, a broken line
inline constexpr int exit_usage = 2;
inline constexpr int exit_unreachable = 3;  // no broker, no service, or no answer in time

}  // namespace overwinter
