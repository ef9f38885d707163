// The tree of an expression, flat: every node stands after its children, so whoever walks it loops and never recurses.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "rules/language/program.h"
#include "rules/language/source.h"
#include "rules/quantity/unit.h"

namespace overwinter {

using NodeIndex = std::uint32_t;

enum class NodeKind : std::uint8_t {
  number,
  date,
  text,
  boolean,
  now,
  path,       // a name with its dots and suffixes
  call,       // text(children)
  operation,  // op of one, two or three children
};

struct Node {
  NodeKind kind = NodeKind::number;
  Op op = Op::constant;        // of an operation
  Extent extent;               // with the brackets around it
  Extent mark;                 // what a fault points at: the operator, the function's name, else all of it
  std::string_view text;       // of a number as written, without a unit; of text without quotes
  double number = 0;           // as written; of a boolean 0 or 1
  std::string_view unit_text;  // of a number; empty for none
  Unit unit{};
  std::vector<NodeIndex> children;
};

struct Syntax {
  std::string_view source;
  std::vector<Node> nodes;  // the root is the last one
};

// How an operator is written: "<", "and", "-".
std::string_view operator_text(Op op);

// Every operator with its operands in brackets: "(a < (b + 3 psi))". Parsing it gives the same tree.
std::string dump(const Syntax& syntax);

}  // namespace overwinter
