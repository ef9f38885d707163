// A plain number has no scale.
#include "rules/quantity/strong.h"

using namespace overwinter;

double viscosity(Temperature t);
double f() { return viscosity(20.0); }
