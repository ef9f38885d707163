// What `overwinter explain --json` prints: the texts, and beside them the numbers that they were printed from.
#pragma once

#include <string>

#include "rules/engine/explain.h"

namespace overwinter {

// One object and a line end. Numbers are canonical (Pa, degC, V, s, 1), each with its unit; instants RFC 3339.
std::string explain_json(const ExplainedEntity& entity);

}  // namespace overwinter
