// What should be written instead of voltage_as_number.cpp.
#include "rules/quantity/strong.h"

using namespace overwinter;

double f(Voltage v) { return v.value; }
