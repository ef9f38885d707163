// A quantity is not a plain number: its unit is named where it is left.
#include "rules/quantity/strong.h"

using namespace overwinter;

double f(Voltage v) { return v; }
