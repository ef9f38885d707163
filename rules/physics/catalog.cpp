#include "rules/physics/catalog.h"

#include <vector>

#include "rules/physics/catalog_row.h"

namespace overwinter {
namespace {

std::vector<Function> all_rows() {
  std::vector<Function> rows;
  for (const FunctionTable part : {catalog::air_functions(), catalog::mechanical_functions()}) {
    rows.insert(rows.end(), part.begin(), part.end());
  }
  return rows;
}

}  // namespace

FunctionTable physics_functions() {
  static const std::vector<Function> rows = all_rows();
  return rows;
}

}  // namespace overwinter
