// 5 K above is not 5 degC.
#include "rules/quantity/strong.h"

using namespace overwinter;

bool f(Temperature t, TemperatureStep s) { return t < s; }
