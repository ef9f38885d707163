// What should be written instead of absolute_as_ambient_of_gauge.cpp.
#include "rules/quantity/strong.h"

using namespace overwinter;

AbsolutePressure f(GaugePressure g) { return absolute(g, standard_atmosphere); }
