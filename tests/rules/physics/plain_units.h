// Units of the tables as plain numbers in SI.
#pragma once

namespace overwinter {

inline constexpr double psi = 6894.757293168;      // Pa; exact, from the pound, the inch and standard gravity
inline constexpr double hour = 3600, day = 86400;  // s

}  // namespace overwinter
