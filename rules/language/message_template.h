// Messages with {expressions}: checked at load like conditions, rendered when an alarm is raised or a reminder is told.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "rules/language/compile.h"
#include "rules/language/evaluator.h"
#include "rules/quantity/print.h"

namespace overwinter {

struct MessageTemplate {
  enum class Kind : unsigned char { text, name, detail, value };
  struct Part {
    Kind kind = Kind::text;
    std::string text;                     // of text; of value: the unit symbol named by ` in UNIT`, or empty
    Program program;                      // of value
    Unit unit{};                          // of value, when text is not empty
    std::optional<Reference> plus_minus;  // of value: a plain expected, expected_now or computed quantity
    bool is_uncertainty = false;          // of value: a plain plus_minus, which rounds up
  };
  std::vector<Part> parts;

  std::size_t history_count() const;
  // In code points, with each value, name and detail taken as one.
  std::size_t least_of_first_sentence() const;
};

// {name}: the name of what the rule applies to. {detail}: what the engine or the gear's model adds.
// Faults like compile's, columns in the whole text; `others` gets those of the further braces too.
Result<MessageTemplate> compile_template(std::string_view text, const Scope& scope, FunctionTable functions,
                                         Faults* others = nullptr);

struct RenderContext {
  std::string_view name;
  std::string_view detail;
  DisplayUnits units = DisplayUnits::metric;
  const TimeZone* zone = nullptr;
  Instant now{};
};

// windows: those of all value parts in order (history_count() of them).
std::string render(const MessageTemplate& message, const Readings& readings, std::span<Window> windows,
                   const RenderContext& context);

// Lets its functions of history take what is read now, as render does: of a text that is rendered seldom.
void feed(const MessageTemplate& message, const Readings& readings, std::span<Window> windows, Instant now);

}  // namespace overwinter
