// Errors as values: a fault has a place, a text that says what is wrong, and a remedy.
// Nothing under rules/ throws by intent; whatever a user or the world can cause is a Result.
#pragma once

#include <cstdint>
#include <string>
#include <tl/expected.hpp>
#include <utility>
#include <vector>

namespace overwinter {

// Where a fault stands. Lines and columns are 1-based; columns count code points.
// line 0: no position inside a text (a command line, a payload).
struct Place {
  std::string file;
  std::uint32_t line = 0;
  std::uint32_t column = 0;
  std::uint32_t length = 1;  // code points to underline

  bool operator==(const Place&) const = default;
};

enum class Severity : std::uint8_t { error, warning };

// One problem. `text` is a sentence without a full stop; `hint` says what to do (may be empty).
struct Fault {
  Place where;
  std::string text;
  std::string hint;
  Severity severity = Severity::error;
};

using Faults = std::vector<Fault>;

template <class T>
class [[nodiscard]] Result : public tl::expected<T, Fault> {
 public:
  using tl::expected<T, Fault>::expected;
};

// A fault without a position, for texts that have none of their own.
inline tl::unexpected<Fault> fault(std::string text, std::string hint = {}) {
  return tl::unexpected<Fault>(Fault{{}, std::move(text), std::move(hint), Severity::error});
}

}  // namespace overwinter
