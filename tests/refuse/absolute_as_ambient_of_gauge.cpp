// The ambient of the bridge is absolute itself.
#include "rules/quantity/strong.h"

using namespace overwinter;

AbsolutePressure f(GaugePressure g) { return absolute(g, g); }
