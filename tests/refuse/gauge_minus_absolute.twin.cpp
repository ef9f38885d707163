// What should be written instead of gauge_minus_absolute.cpp.
#include "rules/quantity/strong.h"

using namespace overwinter;

auto f(GaugePressure g, AbsolutePressure a) { return g - gauge(a, standard_atmosphere); }
