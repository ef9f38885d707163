// What should be written instead of gauge_compared_with_absolute.cpp.
#include "rules/quantity/strong.h"

using namespace overwinter;

bool f(GaugePressure g, AbsolutePressure a) { return absolute(g, standard_atmosphere) < a; }
