// What should be written instead of temperature_times_number.cpp.
#include "rules/quantity/strong.h"

using namespace overwinter;

auto f(TemperatureStep t) { return t * 2.0; }
