// Gauge and absolute pressures do not add.
#include "rules/quantity/strong.h"

using namespace overwinter;

auto f(GaugePressure g, AbsolutePressure a) { return g + a; }
