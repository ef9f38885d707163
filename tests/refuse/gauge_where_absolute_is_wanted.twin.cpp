// What should be written instead of gauge_where_absolute_is_wanted.cpp.
#include "rules/quantity/strong.h"

using namespace overwinter;

double density(AbsolutePressure p);
double f(GaugePressure g) { return density(absolute(g, standard_atmosphere)); }
