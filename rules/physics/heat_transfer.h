// Types of heat transfer that more than one model of physics uses.
#pragma once

#include "rules/quantity/strong.h"

namespace overwinter {

using ThermalConductivity = Amount<struct ThermalConductivityTag>;          // W/(m K)
using HeatTransferCoefficient = Amount<struct HeatTransferCoefficientTag>;  // W/(m2 K)

}  // namespace overwinter
