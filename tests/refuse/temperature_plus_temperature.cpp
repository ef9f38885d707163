// The sum of two points on a scale means nothing.
#include "rules/quantity/strong.h"

using namespace overwinter;

Temperature f(Temperature a, Temperature b) { return a + b; }
