// What should be written instead of number_as_temperature.cpp.
#include "rules/quantity/strong.h"

using namespace overwinter;

double viscosity(Temperature t);
double f() { return viscosity(Temperature(20.0)); }
