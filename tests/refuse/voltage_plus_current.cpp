// Volts and amperes do not add.
#include "rules/quantity/strong.h"

using namespace overwinter;

auto f(Voltage v, Current a) { return v + a; }
