// The difference of two temperatures is no temperature.
#include "rules/quantity/strong.h"

using namespace overwinter;

Temperature f(Temperature a, Temperature b) { return a - b; }
