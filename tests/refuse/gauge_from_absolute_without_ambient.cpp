// The bridge from absolute to gauge names the ambient.
#include "rules/quantity/strong.h"

using namespace overwinter;

GaugePressure f(AbsolutePressure a) { return GaugePressure(a); }
