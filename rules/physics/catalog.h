// The functions of physics that conditions and `compute` may call by name.
//
// Names and argument order are a contract with those who write rules: a row may be added, none renamed. Arguments and
// answers are in canonical units (SI, temperature points in degC). Outside a model's range a call has no value, with
// the reason. Formulas, accuracy and sources stand with the models in this folder; each row repeats range and source
// for the reference page.
#pragma once

#include "rules/quantity/function.h"

namespace overwinter {

// Moist air, surfaces, mold, moisture absorbers, still water and snow, then tires, batteries, propane and fuel; in the
// order of the reference page.
FunctionTable physics_functions();

}  // namespace overwinter
