// Gauge and absolute pressures have no difference.
#include "rules/quantity/strong.h"

using namespace overwinter;

auto f(GaugePressure g, AbsolutePressure a) { return g - a; }
