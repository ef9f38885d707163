// A gauge pressure is not taken for an absolute one.
#include "rules/quantity/strong.h"

using namespace overwinter;

double density(AbsolutePressure p);
double f(GaugePressure g) { return density(g); }
