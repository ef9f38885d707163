// What should be written instead of gauge_plus_absolute.cpp.
#include "rules/quantity/strong.h"

using namespace overwinter;

auto f(GaugePressure g, AbsolutePressure a) { return absolute(g, a); }
