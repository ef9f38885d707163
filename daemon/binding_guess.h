// From what was heard to bindings: which quantity a value could be and in which unit, by its name and its size. A guess
// is a proposal: a person looks at it before it stands in a site file. Pure.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "daemon/heard_topics.h"
#include "rules/engine/plan.h"

namespace overwinter {

struct GuessedBinding {
  std::string kind;      // "place", "tire", ...
  std::string quantity;  // of that kind; "battery" and "link": of the sensor itself
  std::string unit;      // as a binding writes it; empty: none
  bool unit_by_name = false;
  std::string yes, no;  // words of a boolean; empty: the usual ones
  std::string remark;   // what to look at; may be empty
};

// What one value could be; kind is empty: nothing that we know. `others` are the values beside it in the payload.
GuessedBinding guess_binding(std::string_view topic, const HeardMember& member, const std::vector<HeardMember>& others);

// Words of a name: "tempC", "temp_c" and "Temp-C" are "temp", "c".
std::vector<std::string> words_of_name(std::string_view name);

}  // namespace overwinter
