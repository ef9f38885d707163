// What should be written instead of gauge_from_absolute_without_ambient.cpp.
#include "rules/quantity/strong.h"

using namespace overwinter;

GaugePressure f(AbsolutePressure a) { return gauge(a, standard_atmosphere); }
