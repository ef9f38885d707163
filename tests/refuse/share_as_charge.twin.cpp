// What should be written instead of share_as_charge.cpp.
#include "rules/quantity/strong.h"

using namespace overwinter;

Charge f(Share full, Charge capacity) { return full.value * capacity; }
