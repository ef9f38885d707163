// What should be written instead of temperature_step_compared_with_temperature.cpp.
#include "rules/quantity/strong.h"

using namespace overwinter;

bool f(Temperature t, TemperatureStep s) { return t < Temperature(0.0) + s; }
