// Types of heat transfer that more than one model of physics uses.
#pragma once

#include "rules/quantity/strong.h"

namespace overwinter {

using ThermalConductivity = Amount<struct ThermalConductivityTag>;          // W/(m K)
using ThermalResistance = Amount<struct ThermalResistanceTag>;              // m2 K/W
using HeatTransferCoefficient = Amount<struct HeatTransferCoefficientTag>;  // W/(m2 K)

}  // namespace overwinter
