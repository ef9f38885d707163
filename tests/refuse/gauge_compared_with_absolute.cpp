// Gauge and absolute pressures do not compare without the ambient.
#include "rules/quantity/strong.h"

using namespace overwinter;

bool f(GaugePressure g, AbsolutePressure a) { return g < a; }
