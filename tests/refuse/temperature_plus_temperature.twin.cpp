// What should be written instead of temperature_plus_temperature.cpp.
#include "rules/quantity/strong.h"

using namespace overwinter;

Temperature f(Temperature a, TemperatureStep b) { return a + b; }
