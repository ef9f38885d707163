// A plain number has no unit.
#include "rules/quantity/strong.h"

using namespace overwinter;

Voltage f() { return 12.5; }
