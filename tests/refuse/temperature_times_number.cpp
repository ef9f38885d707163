// Twice 10 degC is 20 degC, twice 50 degF is 100 degF: not the same temperature.
#include "rules/quantity/strong.h"

using namespace overwinter;

auto f(Temperature t) { return t * 2.0; }
