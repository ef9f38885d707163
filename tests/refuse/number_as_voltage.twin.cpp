// What should be written instead of number_as_voltage.cpp.
#include "rules/quantity/strong.h"

using namespace overwinter;

Voltage f() { return Voltage(12.5); }
