// What should be written instead of temperature_difference_as_temperature.cpp.
#include "rules/quantity/strong.h"

using namespace overwinter;

TemperatureStep f(Temperature a, Temperature b) { return a - b; }
