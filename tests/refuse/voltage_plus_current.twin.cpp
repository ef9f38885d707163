// What should be written instead of voltage_plus_current.cpp.
#include "rules/quantity/strong.h"

using namespace overwinter;

auto f(Voltage v, Voltage w) { return v + w; }
