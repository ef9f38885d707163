// A state of charge is a share, not ampere-hours.
#include "rules/quantity/strong.h"

using namespace overwinter;

Charge f(Share full) { return full; }
